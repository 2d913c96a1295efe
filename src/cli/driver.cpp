#include "cli/driver.hpp"

#include <fstream>
#include <iterator>

#include "keepway/facts.hpp"
#include "keepway/small_file.hpp"

namespace keepway::cli {

std::optional<Group> group_of_file(const std::string& path) {
  constexpr std::string_view ending = ".tsv";
  const std::string name = path.substr(path.rfind('/') + 1);  // npos + 1 is 0
  if (!name.ends_with(ending)) return std::nullopt;
  return parse_group(std::string_view(name).substr(0, name.size() - ending.size()));
}

std::string driver_file(const std::string& path) {
  if (path == "/dev/null") return {};
  std::ifstream in(path, std::ios::binary);
  std::string text{std::istreambuf_iterator<char>(in), {}};
  if (!in) throw Error(ErrorKind::input, "cannot be read", "this command is for Git to call", Place{path});
  return text;
}

Names names_here() {
  Names names;
  try {
    if (const auto text = read_small_file("machine.toml")) names.units = parse_machine_toml(*text, "").units;
    if (const auto text = read_small_file("namebook.tsv")) names.book = Namebook::parse(*text, "");
  } catch (const Error&) {  // addresses without names, then
  }
  return names;
}

}  // namespace keepway::cli
