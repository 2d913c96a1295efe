#include "keepway/shop.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "base/durable.hpp"
#include "keepway/small_file.hpp"
#include "shop/machine_toml.hpp"

namespace keepway {
namespace fs = std::filesystem;
namespace {

constexpr std::string_view shop_file = "shop.toml";
constexpr std::size_t max_name = 64;

// A layout that was given by name or by file, and the namebook that comes with it.
struct GivenLayout {
  std::string text;
  std::string file;
  std::string namebook;
};

GivenLayout find_layout(const std::string& given) {
  if (const auto text = builtin_layout(given)) {
    return {std::string(*text), given, std::string(builtin_namebook(given).value_or(""))};
  }
  if (const auto text = read_small_file(given)) return {*text, given, ""};
  throw Error(
      ErrorKind::usage, fmt::format("there is no layout '{}'", escape(given)),
      fmt::format("name a TOML file (keepway survey proposes one), or a layout that comes with keepway: {}",
                  fmt::join(builtin_layout_names(), ", ")));
}

}  // namespace

void check_machine_name(const std::string& name) {
  const auto plain = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
           c == '_' || c == '.';
  };
  if (name.empty() || name.size() > max_name || name.front() == '.' || name.front() == '-' ||
      !std::all_of(name.begin(), name.end(), plain)) {
    throw Error(ErrorKind::usage, fmt::format("'{}' cannot be a machine's name", escape(name)),
                "use up to 64 letters, digits, '-', '_' and '.', as in mill-2; --title takes any text");
  }
}

Shop Shop::init(const fs::path& folder, const std::string& title) {
  if (fs::exists(folder / shop_file)) {
    throw Error(ErrorKind::refused, fmt::format("{} is already a shop", folder.string()),
                "go on with 'keepway enroll', or name another folder");
  }
  const bool there = make_folders(folder);
  std::ostringstream text;
  text << "# A keepway shop: one folder for each machine, each a Git repository.\n"
       << toml::table{{"shop", 1}, {"title", title}} << "\n";
  if (!there || !write_small_file(folder / shop_file, text.str())) {
    throw Error(ErrorKind::store, fmt::format("cannot make a shop in {}", folder.string()),
                "check that the folder may be written and that its disk is not full");
  }
  return Shop(folder);
}

Shop Shop::open(const fs::path& folder) {
  const auto text = read_small_file(folder / shop_file);
  if (!text) {
    throw Error(ErrorKind::usage, fmt::format("{} is not a shop: it has no shop.toml", folder.string()),
                "make one with 'keepway init DIR', or name one with --shop DIR or $KEEPWAY_SHOP");
  }
  return Shop(folder);
}

std::optional<fs::path> Shop::nearest(const fs::path& start) {
  std::error_code failed;
  for (fs::path folder = fs::absolute(start, failed); !failed; folder = folder.parent_path()) {
    if (fs::exists(folder / shop_file, failed)) return folder;
    if (folder == folder.parent_path()) break;
  }
  return std::nullopt;
}

Machine Shop::enroll(const Enrollment& enrollment, const std::function<void(const fs::path&)>& more) {
  check_machine_name(enrollment.name);
  const fs::path folder = folder_ / enrollment.name;
  if (fs::exists(folder)) {
    throw Error(
        ErrorKind::refused, fmt::format("there is already a folder {} in this shop", enrollment.name),
        fs::exists(folder / "machine.toml") && !fs::exists(folder / ".git")
            ? "it is a machine's that has lost its .git folder: move it elsewhere; then bring the machine "
              "back with keepway sync NAME --to URL, or enroll it"
            : "enroll the machine under another name");
  }
  for (const std::string& other : machines()) {
    if (lower(other) != lower(enrollment.name)) continue;
    throw Error(
        ErrorKind::refused,
        fmt::format("this shop has the machine {}, whose name differs in capitals alone", other),
        fmt::format("if it is that machine: keepway intake {} PATH; else choose another name", other));
  }
  const GivenLayout given = enrollment.layout_text
                                ? GivenLayout{*enrollment.layout_text, enrollment.name + ".toml", ""}
                                : find_layout(enrollment.layout);
  const Layout layout = parse_layout(given.text, given.file);
  MachineFacts facts;
  facts.name = enrollment.name;
  facts.title = enrollment.title.empty() ? enrollment.name : enrollment.title;
  facts.serial = enrollment.serial;
  facts.units = enrollment.units.value_or(layout.units.value_or(Units::inch));
  facts.backup_every_days = enrollment.backup_every_days;
  facts.layout = layout.name.empty() ? fs::path(enrollment.layout).filename().string() : layout.name;
  for (const Source& source : layout.sources) {
    for (const std::string& pattern : source.files) {
      if (pattern.find("{serial}") != std::string::npos && facts.serial.empty()) {
        throw Error(ErrorKind::usage,
                    fmt::format("this layout's file names contain the serial ('{}')", pattern),
                    "give the machine's serial number as it is in the file names: --serial S");
      }
    }
  }
  const std::string machine_text = write_machine_toml(facts);
  const std::string namebook = given.namebook.empty() ? Namebook{}.write() : given.namebook;
  store::NewCommit first;
  first.summary = fmt::format("Enroll {}", facts.name);
  first.body = facts.title == facts.name ? "" : facts.title;
  first.author = enrollment.by;
  first.at = first.taken = enrollment.now;
  store::Repository::create(
      folder, {{"machine.toml", machine_text}, {"layout.toml", given.text}, {"namebook.tsv", namebook}},
      first, more);
  return Machine::open(folder);
}

std::vector<std::string> Shop::with_serial(const std::string& serial) const {
  std::vector<std::string> found;
  if (serial.empty()) return found;
  for (const std::string& name : machines()) {
    try {
      const auto text = read_small_file(folder_ / name / "machine.toml");
      if (text && parse_machine_toml(*text, name).serial == serial) found.push_back(name);
    } catch (
        const Error&) {  // NOLINT(bugprone-empty-catch): what is wrong with it is another command's to say
    }
  }
  return found;
}

fs::path Shop::machine_folder(const std::string& name) const {
  check_machine_name(name);
  if (!fs::exists(folder_ / name / "machine.toml") && !fs::exists(folder_ / name / ".git")) {
    const auto known = machines();
    throw Error(ErrorKind::usage, fmt::format("this shop has no machine '{}'", name),
                known.empty() ? "enroll it first: keepway enroll MACHINE --layout NAME|FILE.toml"
                              : fmt::format("it has: {}", fmt::join(known, ", ")));
  }
  return folder_ / name;
}

Machine Shop::machine(const std::string& name) const {
  return Machine::open(machine_folder(name));
}

std::vector<std::string> Shop::machines() const {
  std::vector<std::string> names;
  std::error_code failed;
  for (const auto& entry : fs::directory_iterator(folder_, failed)) {
    if (entry.path().filename().string().starts_with('.')) continue;  // one that is being made
    // Either of the two marks is enough: a machine that lost one must not fall off the list.
    if (fs::exists(entry.path() / ".git", failed) && (fs::exists(entry.path() / "machine.toml", failed) ||
                                                      fs::exists(entry.path() / ".git/keepway", failed))) {
      names.push_back(entry.path().filename().string());
    }
  }
  std::sort(names.begin(), names.end(), NaturalLess{});
  return names;
}

}  // namespace keepway
