#include "shop/machine_toml.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <map>
#include <set>
#include <sstream>

#include "base/digit.hpp"
#include "keepway/text.hpp"
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

// A value's bytes in the text.
struct Span {
  std::size_t at = 0;
  std::size_t size = 0;
};
Span span_of(std::string_view text, const toml::node& node) {
  const std::size_t at = offset_of(text, node.source().begin);
  return {at, offset_of(text, node.source().end) - at};
}

// Facts by key, "battery.changed" for those of a table; arrays are one value.
using Facts = std::map<std::string, const toml::node*>;
void collect(const toml::table& table, const std::string& above, Facts& out) {
  for (const auto& [key, node] : table) {
    const std::string name = above + std::string(key.str());
    if (const toml::table* part = node.as_table())
      collect(*part, name + ".", out);
    else
      out.emplace(name, &node);
  }
}
Facts facts_of(const toml::table& table) {
  Facts out;
  collect(table, "", out);
  return out;
}

std::string text_of(const toml::node* node) {
  if (node == nullptr) return "";
  std::ostringstream out;
  out << toml::toml_formatter(*node, toml::format_flags::none);  // strings in double quotes
  return out.str();
}

std::string line_end_of(const std::string& text) {
  return text.find("\r\n") == std::string::npos ? "\n" : "\r\n";
}

// A key of no table goes before the first of them, and before the blank lines above that.
std::string add_plain_key(std::string text, const std::string& setting) {
  std::size_t at = 0;
  while (at < text.size() &&
         text.compare(std::min(text.find_first_not_of(" \t", at), text.size()), 1, "[") != 0)
    at = std::min(text.find('\n', at), text.size() - 1) + 1;
  const std::string end = line_end_of(text);
  if (at > 0 && text[at - 1] != '\n') return text + end + setting + end;
  while (at >= 2 * end.size() && text.compare(at - 2 * end.size(), 2 * end.size(), end + end) == 0)
    at -= end.size();
  return text.insert(at, setting + end);
}

// A key of a table, in whichever way the owner wrote the table.
std::string add_key(std::string text, const toml::table& table, const std::string& part,
                    const std::string& key, const std::string& value) {
  const std::string line_end = line_end_of(text);
  const std::string setting = fmt::format("{} = {}", key, value);
  const toml::node* node = table.get(part);
  if (node == nullptr) {
    if (!text.empty() && text.back() != '\n') text += line_end;
    return text + line_end + "[" + part + "]" + line_end + setting + line_end;
  }
  const toml::table& inside = *node->as_table();
  const std::size_t at = offset_of(text, node->source().begin);
  if (inside.is_inline()) {
    return text.insert(std::min(text.find('{', at) + 1, text.size()),
                       " " + setting + (inside.empty() ? " " : ","));
  }
  // Below its heading [battery], else beside a key written battery.every_months.
  const std::size_t begin = text.rfind('\n', at) == std::string::npos ? 0 : text.rfind('\n', at) + 1;
  const bool under_heading =
      text.compare(std::min(text.find_first_not_of(" \t", begin), text.size()), 1, "[") == 0;
  const std::string whole = (under_heading ? "" : part + ".") + setting + line_end;
  const std::size_t line = text.find('\n', at);
  return line == std::string::npos ? text + line_end + whole : text.insert(line + 1, whole);
}

// The line that holds it and nothing else; a list or a table on one line is no such.
std::string remove_line(std::string text, const toml::node& node) {
  const Span span = span_of(text, node);
  const std::size_t begin =
      text.rfind('\n', span.at) == std::string::npos ? 0 : text.rfind('\n', span.at) + 1;
  return text.erase(begin, std::min(text.find('\n', span.at + span.size), text.size() - 1) + 1 - begin);
}

std::string edited(const std::string& text, const toml::table& table, const std::string& key,
                   const std::string& value) {
  const Facts facts = facts_of(table);
  if (const auto found = facts.find(key); found != facts.end()) {
    if (value.empty()) return remove_line(text, *found->second);
    const Span span = span_of(text, *found->second);
    return std::string(text).replace(span.at, span.size, value);
  }
  if (value.empty()) return text;
  const std::size_t point = key.find('.');
  if (point == std::string::npos) return add_plain_key(text, fmt::format("{} = {}", key, value));
  return add_key(text, table, key.substr(0, point), key.substr(point + 1), value);
}

bool is_plain_key(std::string_view key) {
  const std::size_t point = key.find('.');
  const auto plain = [](std::string_view part) {
    return !part.empty() && std::all_of(part.begin(), part.end(), [](char c) {
      return is_letter(c) || is_digit(c) || c == '_' || c == '-';
    });
  };
  return plain(key.substr(0, point)) && (point == std::string_view::npos || plain(key.substr(point + 1)));
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

std::string fact_text(std::string_view machine_toml, const std::string& file, const std::string& key) {
  const toml::table table = parse(machine_toml, file);
  const Facts facts = facts_of(table);
  const auto found = facts.find(key);
  return found == facts.end() ? "" : text_of(found->second);
}

std::string set_fact(const std::string& machine_toml, const std::string& file, const std::string& key,
                     const std::string& value) {
  const auto refuse = [&] {
    return Error(ErrorKind::refused,
                 fmt::format("{} in {} is written in a way that cannot be edited safely", escape(key), file),
                 fmt::format("write it by hand: {} = {}", escape(key), escape(value)), Place{file});
  };
  if (!is_plain_key(key)) throw refuse();
  const toml::table before = parse(machine_toml, file);
  std::map<std::string, std::string> wanted;
  for (const auto& [name, node] : facts_of(before)) wanted[name] = text_of(node);
  if (value.empty())
    wanted.erase(key);
  else
    wanted[key] = value;
  std::string out;
  std::map<std::string, std::string> found;
  try {
    out = edited(machine_toml, before, key, value);
    const toml::table after = parse(out, file);
    for (const auto& [name, node] : facts_of(after)) found[name] = text_of(node);
  } catch (const Error&) {
    throw refuse();
  }
  if (found != wanted) throw refuse();
  return out;
}

Joined join_facts(const std::string& base, const std::string& first, const std::string& later,
                  const std::string& file) {
  const auto read = [&](const std::string& text) {
    std::map<std::string, std::string> out;
    const toml::table table = parse(text, file);
    for (const auto& [key, node] : facts_of(table)) out[key] = text_of(node);
    return out;
  };
  auto was = read(base);
  auto theirs = read(first);
  auto ours = read(later);
  Joined out{first, {}};
  std::set<std::string> keys;
  for (const auto* each : {&was, &ours}) {
    for (const auto& [key, value] : *each) keys.insert(key);
  }
  for (const std::string& key : keys) {
    if (ours[key] == was[key] || ours[key] == theirs[key]) continue;
    out.text = set_fact(out.text, file, key, ours[key]);
    if (theirs[key] != was[key]) out.clashes.push_back({file, key, ours[key], theirs[key]});
  }
  (void)parse_machine_toml(out.text, file);
  return out;
}

std::string set_battery(std::string_view machine_toml, const std::string& file, const Battery& battery) {
  const auto refuse = [&] {
    return Error(ErrorKind::refused,
                 fmt::format("[battery] in {} is written in a way that cannot be edited safely", file),
                 fmt::format("write it by hand: changed = {}, every_months = {}",
                             battery.changed ? format_time(*battery.changed).substr(0, 10) : "2026-01-31",
                             battery.every_months),
                 Place{file});
  };
  const toml::table before = parse(machine_toml, file);
  read_battery(before, file);
  std::string out(machine_toml);
  Battery after;
  try {
    out = set_fact(out, file, "battery.every_months", std::to_string(battery.every_months));
    if (battery.changed)
      out = set_fact(out, file, "battery.changed", format_time(*battery.changed).substr(0, 10));
    after = read_battery(parse(out, file), file);
  } catch (const Error&) {
    throw refuse();
  }
  if (after.changed != battery.changed || after.every_months != battery.every_months) throw refuse();
  return out;
}

}  // namespace keepway
