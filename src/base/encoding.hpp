// Text of another character set as UTF-8, and back, by iconv (POSIX).
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace keepway {

bool is_ascii(std::string_view text);

// Whether iconv knows it, and letters, digits and the signs of ISO 646 that never vary are themselves in it.
bool is_encoding(const std::string& name);

// Converts; one for each thread. Without a name it leaves all as it is.
class Encoding {
 public:
  explicit Encoding(const std::string& name);
  Encoding(const Encoding&) = delete;
  Encoding& operator=(const Encoding&) = delete;
  ~Encoding();

  // A byte that the character set does not have stays as it is, so that no two texts become the same.
  [[nodiscard]] std::string to_utf8(std::string_view bytes) const;
  // nullopt where the character set has no such character.
  [[nodiscard]] std::optional<std::string> from_utf8(std::string_view text) const;

 private:
  void* to_ = nullptr;
  void* from_ = nullptr;
};

// UTF-8 text of a layout as a file in the character set `name` has it; as it is where it cannot be written
// so.
std::string as_received(const std::string& name, const std::string& utf8);

}  // namespace keepway
