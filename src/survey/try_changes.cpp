// What another layout, or the same one corrected, makes otherwise of one backup.
#include <map>

#include "keepway/survey.hpp"

namespace keepway {
namespace {

struct Natural {
  bool operator()(const std::string& a, const std::string& b) const { return natural_order(a, b) < 0; }
};

struct Facts {
  std::map<std::string, std::string, Natural> values;  // by address; of a program, its text
  std::size_t unread = 0;
};

Facts facts_of(const Reading& reading) {
  Facts facts;
  for (const Group group : all_groups) {
    const std::string prefix = std::string(group_name(group)) + "/";
    if (group == Group::programs) {
      for (const Program& program : reading.state.programs)
        facts.values[prefix + program.name] = program.text;
      continue;
    }
    const auto& table = reading.state.table(group);
    if (!table) continue;
    for (const Item& item : *table) {
      if (is_unread(item.key)) {
        ++facts.unread;
      } else {
        facts.values[prefix + item.key] = item.value;
      }
    }
  }
  for (const ProgramFacts& program : reading.programs) facts.unread += program.unread;
  return facts;
}

}  // namespace

TryChanges try_changes(const Reading& before, const Reading& after) {
  const Facts was = facts_of(before);
  const Facts is = facts_of(after);
  TryChanges changes{was.unread, is.unread, {}};
  const auto note = [&](const std::string& address, const std::string* old, const std::string* now) {
    const bool program = address.starts_with("programs/");
    const auto shown = [&](const std::string* value) -> std::optional<std::string> {
      if (value == nullptr) return std::nullopt;
      return program ? std::string("a program") : *value;
    };
    changes.items.push_back({address, shown(old), shown(now)});
  };
  for (const auto& [address, value] : was.values) {
    const auto now = is.values.find(address);
    const bool gone = now == is.values.end();
    if (gone || now->second != value) note(address, &value, gone ? nullptr : &now->second);
  }
  for (const auto& [address, value] : is.values) {
    if (!was.values.contains(address)) note(address, nullptr, &value);
  }
  return changes;
}

}  // namespace keepway
