#include "shop/machine_toml.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <chrono>
#include <sstream>

#include "keepway/time.hpp"

namespace keepway {
namespace {

constexpr int max_days = 36'500;
constexpr int max_months = 1'200;

class Reader {
 public:
  Reader(const toml::table& table, const std::string& file) : table_(table), file_(file) {}

  [[nodiscard]] Error broken(const toml::node& node, const std::string& what) const {
    return {ErrorKind::input, what, "correct the line in machine.toml, or undo the change",
            Place{file_, node.source().begin.line}};
  }

  void take(std::string_view key, std::string& into) const {
    const toml::node* node = table_.get(key);
    if (node == nullptr) return;
    const auto* value = node->as_string();
    if (value == nullptr) throw broken(*node, fmt::format("'{}' must be a text in quotes", key));
    into = value->get();
  }

  [[nodiscard]] std::optional<int> whole(std::string_view key, int most) const {
    const toml::node* node = table_.get(key);
    if (node == nullptr) return std::nullopt;
    const auto* value = node->as_integer();
    if (value == nullptr || value->get() < 1 || value->get() > most) {
      throw broken(*node, fmt::format("'{}' must be a whole number from 1 to {}", key, most));
    }
    return static_cast<int>(value->get());
  }

  // A day as TOML writes one, or the same in quotes.
  [[nodiscard]] std::optional<std::int64_t> day(std::string_view key) const {
    const toml::node* node = table_.get(key);
    if (node == nullptr) return std::nullopt;
    std::optional<std::int64_t> at;
    if (const auto* value = node->as_date()) {
      const toml::date& date = value->get();
      at = parse_time(fmt::format("{:04}-{:02}-{:02}", date.year, date.month, date.day), true);
    } else if (const auto* text = node->as_string(); text != nullptr && text->get().size() == 10) {
      at = parse_time(text->get(), true);
    }
    if (!at) throw broken(*node, fmt::format("'{}' must be a day, as in 2026-01-31", key));
    return day_start_of(*at);
  }

 private:
  const toml::table& table_;
  const std::string& file_;
};

toml::table parse(std::string_view text, const std::string& file) {
  try {
    return toml::parse(text, file);
  } catch (const toml::parse_error& error) {
    throw Error(ErrorKind::input, std::string(error.description()),
                "correct the line in machine.toml, or undo the change",
                Place{file, error.source().begin.line});
  }
}

Battery read_battery(const toml::table& table, const std::string& file) {
  Battery battery;
  const toml::node* node = table.get("battery");
  if (node == nullptr) return battery;
  const toml::table* part = node->as_table();
  if (part == nullptr) throw Reader(table, file).broken(*node, "'battery' must be a table: [battery]");
  const Reader reader(*part, file);
  battery.changed = reader.day("changed");
  battery.every_months = reader.whole("every_months", max_months).value_or(battery.every_months);
  return battery;
}

// Byte of a line and column as toml++ counts them: both from 1, columns in characters.
std::size_t offset_of(std::string_view text, toml::source_position at) {
  std::size_t byte = 0;
  for (toml::source_index line = 1; line < at.line; ++line) {
    byte = std::min(text.find('\n', byte), text.size() - 1) + 1;
  }
  for (toml::source_index column = 1; column < at.column && byte < text.size(); ++column) {
    ++byte;
    while (byte < text.size() && (static_cast<unsigned char>(text[byte]) & 0xC0U) == 0x80) ++byte;
  }
  return byte;
}

// A value that is at `at`: a number or a day, or a text in quotes.
std::size_t value_size(std::string_view text, std::size_t at) {
  if (at < text.size() && (text[at] == '"' || text[at] == '\'')) {
    const std::size_t close = text.find(text[at], at + 1);
    return close == std::string_view::npos ? 0 : close + 1 - at;
  }
  std::size_t end = at;
  while (end < text.size() && std::string_view(" \t\r\n,#}").find(text[end]) == std::string_view::npos) ++end;
  return end - at;
}

// `key = value` in [battery], in whichever way the owner wrote the table.
std::string set_key(const std::string& text, const std::string& file, std::string_view key,
                    const std::string& value) {
  const toml::table table = parse(text, file);
  const std::string line_end = text.find("\r\n") == std::string::npos ? "\n" : "\r\n";
  const std::string setting = fmt::format("{} = {}", key, value);
  std::string out = text;
  const toml::node* part = table.get("battery");
  if (part == nullptr) {
    if (!out.empty() && out.back() != '\n') out += line_end;
    return out + line_end + "[battery]" + line_end + setting + line_end;
  }
  const toml::table& battery = *part->as_table();
  if (const toml::node* node = battery.get(key)) {
    const std::size_t at = offset_of(text, node->source().begin);
    return out.replace(at, value_size(text, at), value);
  }
  const std::size_t at = offset_of(text, part->source().begin);
  if (battery.is_inline()) {
    return out.insert(std::min(text.find('{', at) + 1, text.size()),
                      " " + setting + (battery.empty() ? " " : ","));
  }
  // Below its heading [battery], else beside a key written battery.every_months.
  const std::size_t begin = text.rfind('\n', at) == std::string::npos ? 0 : text.rfind('\n', at) + 1;
  const bool under_heading =
      text.compare(std::min(text.find_first_not_of(" \t", begin), text.size()), 1, "[") == 0;
  const std::string whole = (under_heading ? "" : "battery.") + setting + line_end;
  const std::size_t line = text.find('\n', at);
  return line == std::string::npos ? out + line_end + whole : out.insert(line + 1, whole);
}

}  // namespace

std::string write_machine_toml(const MachineFacts& facts) {
  std::ostringstream text;
  toml::table table{{"machine", facts.name},
                    {"title", facts.title},
                    {"serial", facts.serial},
                    {"units", std::string(units_name(facts.units))},
                    {"layout", facts.layout}};
  if (facts.backup_every_days) table.insert("backup_every_days", *facts.backup_every_days);
  text << "# What keepway knows about this machine. Change it by hand; the next intake stores the change.\n";
  if (!facts.backup_every_days) text << "# backup_every_days = 7    # when 'keepway status' calls for one\n";
  text << table << "\n";
  return text.str();
}

MachineFacts parse_machine_toml(std::string_view text, const std::string& file) {
  const toml::table table = parse(text, file);
  const Reader reader(table, file);
  MachineFacts facts;
  std::string units = "inch";
  reader.take("machine", facts.name);
  reader.take("title", facts.title);
  reader.take("serial", facts.serial);
  reader.take("layout", facts.layout);
  reader.take("units", units);
  const auto known = parse_units(units);
  if (!known) throw reader.broken(*table.get("units"), "'units' must be \"inch\" or \"mm\"");
  facts.units = *known;
  facts.backup_every_days = reader.whole("backup_every_days", max_days);
  facts.battery = read_battery(table, file);
  return facts;
}

std::string set_battery(std::string_view machine_toml, const std::string& file, const Battery& battery) {
  std::string out(machine_toml);
  toml::table before = parse(machine_toml, file);
  read_battery(before, file);
  const auto refuse = [&] {
    return Error(ErrorKind::refused,
                 fmt::format("[battery] in {} is written in a way that cannot be edited safely", file),
                 fmt::format("write it by hand: changed = {}, every_months = {}",
                             battery.changed ? format_time(*battery.changed).substr(0, 10) : "2026-01-31",
                             battery.every_months),
                 Place{file});
  };
  Battery after;
  try {
    out = set_key(out, file, "every_months", std::to_string(battery.every_months));
    if (battery.changed) out = set_key(out, file, "changed", format_time(*battery.changed).substr(0, 10));
    toml::table parsed = parse(out, file);
    after = read_battery(parsed, file);
    before.erase("battery");
    parsed.erase("battery");
    if (parsed != before) throw refuse();
  } catch (const Error&) {
    throw refuse();
  }
  if (after.changed != battery.changed || after.every_months != battery.every_months) throw refuse();
  return out;
}

}  // namespace keepway
