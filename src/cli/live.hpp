// A report's pages, made when they are asked for. Every path is looked up in a list, so that none can reach a
// file.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "cli/http.hpp"
#include "cli/site.hpp"

namespace keepway::cli {

class Live {
 public:
  // The machines named, or all of the shop; one alone has its pages at the top. `acts`: the pages of the
  // counter, see PageOptions.
  Live(Shop shop, std::vector<std::string> only, bool acts);

  // A GET or HEAD: the page, or 404. Error where a machine cannot be read.
  Response answer(const Request& request);
  // The machine as it is now. Error{usage} for one that is not shown.
  [[nodiscard]] Machine machine(const std::string& name) const;
  // Error{usage} for one that is not shown.
  void check_shown(const std::string& name) const;
  [[nodiscard]] std::vector<std::string> machines() const;
  [[nodiscard]] const Shop& shop() const { return shop_; }
  // One alone has no list that another could be put on.
  [[nodiscard]] bool is_alone() const { return only_.size() == 1; }
  // One that was enrolled meanwhile. Precondition: !is_alone().
  void show_also(const std::string& name);

 private:
  struct Known {
    std::string fingerprint;
    std::unique_ptr<Shown> shown;
  };
  std::optional<std::string> get(const std::string& path, const std::string& of);
  std::optional<std::string> machine_file(const std::string& name, const std::string& path,
                                          const std::string& of);
  std::optional<std::string> twins_file(const std::string& path);
  [[nodiscard]] std::string fingerprint(const std::string& name) const;
  Shown& shown(const std::string& name);
  show::ShopMachine listed(const std::string& name);

  Shop shop_;
  std::vector<std::string> only_;
  bool acts_;
  std::map<std::string, std::string> assets_;
  std::map<std::string, Known> known_;
};

}  // namespace keepway::cli
