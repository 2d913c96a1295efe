// The shop: a folder with shop.toml and one folder (one Git repository) for each machine.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "keepway/machine.hpp"

namespace keepway {

// Error{usage} for what cannot be a machine's name.
void check_machine_name(const std::string& name);

class Shop {
 public:
  // Makes a shop. Error{refused} if there is one already.
  static Shop init(const std::filesystem::path& folder, const std::string& title);
  static Shop open(const std::filesystem::path& folder);
  // The nearest folder with shop.toml, from `start` upwards.
  static std::optional<std::filesystem::path> nearest(const std::filesystem::path& start);

  struct Enrollment {
    std::string name;
    std::string layout;  // built-in name, or a TOML file
    std::string serial;
    std::string title;
    std::optional<Units> units;
    std::optional<int> backup_every_days;
    std::string by;
    std::int64_t now = 0;
    std::optional<std::string> layout_text = std::nullopt;  // in place of `layout`: the layout itself
  };
  // Makes the machine's repository. Error{usage} for a name that is no plain folder name. `more`: see
  // Repository::create.
  Machine enroll(const Enrollment& enrollment,
                 const std::function<void(const std::filesystem::path& made)>& more = {});
  [[nodiscard]] Machine machine(const std::string& name) const;
  // Its folder, without opening it. Error{usage} when the shop has no such machine.
  [[nodiscard]] std::filesystem::path machine_folder(const std::string& name) const;
  [[nodiscard]] std::vector<std::string> machines() const;
  // Machines of that serial number; none for an empty one.
  [[nodiscard]] std::vector<std::string> with_serial(const std::string& serial) const;  // natural order
  [[nodiscard]] const std::filesystem::path& folder() const { return folder_; }

 private:
  explicit Shop(std::filesystem::path folder) : folder_(std::move(folder)) {}
  std::filesystem::path folder_;
};

}  // namespace keepway
