#include "git_hooks/tree_check.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "git/attributes.hpp"
#include "git/path.hpp"
#include "keepway/trial.hpp"
#include "media/set.hpp"
#include "shop/clashes.hpp"
#include "shop/known_reasons.hpp"
#include "shop/machine_toml.hpp"
#include "shop/read_as.hpp"
#include "shop/stored_set.hpp"

namespace keepway {
namespace {

constexpr std::uint32_t plain_file = 0100644;
constexpr std::string_view state_folder = "state/";
constexpr std::string_view originals_folder = "originals/";
constexpr std::string_view programs_folder = "state/programs/";

std::string shown(const std::string& path) {
  return escape(path.substr(0, 300));
}

// Entries are in path order; where a hostile tree is not, check_form says so before anything is looked up.
const store::ViewEntry* entry_at(const Entries& entries, const std::string& path) {
  const auto found = std::lower_bound(entries.begin(), entries.end(), path,
                                      [](const auto& entry, const std::string& p) { return entry.path < p; });
  return found == entries.end() || found->path != path ? nullptr : &*found;
}

Entries below(const Entries& entries, std::string_view folder) {
  Entries out;
  std::copy_if(entries.begin(), entries.end(), std::back_inserter(out),
               [&](const auto& entry) { return entry.path.starts_with(folder); });
  return out;
}

// Error{input}, naming the file, when blobs are more than media would take in. To be asked before they are
// read: a blob of zeros is small in a pack, and may be under any number of names.
void require_bounded(const store::RepositoryView& view, const Entries& entries) {
  media::Bounds bounds;
  for (const auto& entry : entries) {
    const std::string name = shown(entry.path);
    bounds.take_entry(name, 0);
    bounds.take_bytes(name, view.size(entry.id));
  }
}

std::string read_bounded(const store::RepositoryView& view, const store::ViewEntry& entry) {
  require_bounded(view, Entries{entry});
  return view.read(entry.id);
}

bool has_entry(const Entries& entries, const store::ViewEntry& wanted) {
  const auto* found = entry_at(entries, wanted.path);
  return found != nullptr && found->id == wanted.id;
}

bool is_table(const std::string& path) {
  return std::any_of(all_groups.begin(), all_groups.end(), [&](Group g) { return table_path(g) == path; });
}

// A name below originals/ is what safe_path() makes of a received one.
bool is_original(const std::string& path) {
  if (!path.starts_with(originals_folder)) return false;
  const std::string name = path.substr(originals_folder.size());
  try {
    return safe_path(received_name(name)) == name;
  } catch (const Error&) {
    return false;
  }
}

// A program's text or a value's; nullptr when there is no such item.
const std::string* text_at(const State& state, const Address& address) {
  if (address.group == Group::programs) {
    const Program* program = state.program(address.key);
    return program == nullptr ? nullptr : &program->text.str();
  }
  const auto& table = state.table(address.group);
  const Item* item = table ? find_item(*table, address.key) : nullptr;
  return item == nullptr ? nullptr : &item->value;
}

bool same_item(const State& a, const State& b, const Address& address) {
  const std::string* x = text_at(a, address);
  const std::string* y = text_at(b, address);
  return x == nullptr || y == nullptr ? x == y : *x == *y;
}

std::vector<Address> addresses_of(const State& state) {
  std::vector<Address> out;
  for (const Group group : all_groups) {
    if (!state.table(group)) continue;
    for (const Item& item : *state.table(group)) out.push_back({group, item.key});
  }
  for (const Program& program : state.programs) out.push_back({Group::programs, program.name});
  return out;
}

std::string value_text(const std::string* value) {
  return value == nullptr ? "not there" : "'" + escape(value->substr(0, 100)) + "'";
}

}  // namespace

bool is_of_the_form(const std::string& path) {
  if (path == "machine.toml" || path == "layout.toml" || path == "namebook.tsv") return true;
  if (path == store::attributes_path || path == reasons_path || path == clashes_path) return true;
  if (is_table(path) || path == carried_path) return true;
  if (path.starts_with(programs_folder)) {
    const auto name = program_name_from_path(path);
    return name && !name->empty() && program_path(*name) == path;
  }
  return is_original(path);
}

bool same_below(const Entries& a, const Entries& b, std::string_view folder) {
  const Entries x = below(a, folder);
  const Entries y = below(b, folder);
  return std::equal(x.begin(), x.end(), y.begin(), y.end(), [](const auto& p, const auto& q) {
    return p.path == q.path && p.id == q.id && p.mode == q.mode;
  });
}

media::Set originals_of(const store::RepositoryView& view, const Entries& entries) {
  const Entries originals = below(entries, originals_folder);
  require_bounded(view, originals);
  return stored_set(
      originals, [](const auto& entry) { return entry.path; },
      [&](const auto& entry) { return view.read(entry.id); });
}

std::vector<Fault> TreeCheck::operator()(const Entries& now, const std::vector<Entries>& parents,
                                         const std::vector<store::Oid>& ids, bool other_reader) {
  faults_.clear();
  check_form(now);
  if (!faults_.empty()) return std::move(faults_);
  check_owner_files(now, parents);
  const bool known = std::any_of(parents.begin(), parents.end(), [&](const Entries& parent) {
    return same_below(now, parent, state_folder) && same_below(now, parent, originals_folder);
  });
  const bool form = faults_.empty() && !known && check_normal_form(now, parents);
  if (form && !other_reader) check_follows(now, parents, ids);
  return std::move(faults_);
}

void TreeCheck::fault(Place place, const std::string& what) {
  if (faults_.size() < max_faults) faults_.push_back({std::move(place), what});
}

void TreeCheck::check_form(const Entries& now) {
  std::string_view last;
  for (const auto& entry : now) {
    const bool in_order = last < entry.path || entry.stage > 0;
    last = entry.path;
    if (!in_order) fault({shown(entry.path)}, "is there twice, or out of order");
    try {
      store::require_clean_path(entry.path);
    } catch (const Error& error) {
      fault({shown(entry.path)}, error.what());
      continue;
    }
    if (!is_of_the_form(entry.path)) {
      fault({shown(entry.path)}, "is not a file of a machine's repository");
    } else if (entry.stage > 0) {
      fault({shown(entry.path)}, "is still in conflict");
    } else if (entry.mode != plain_file) {
      fault({shown(entry.path)}, fmt::format("must be a plain file (mode 100644, not {:o})", entry.mode));
    }
  }
}

void TreeCheck::check_owner_files(const Entries& now, const std::vector<Entries>& parents) {
  const auto check_file = [&](const std::string& path, bool required, const auto& parse) {
    const auto* entry = entry_at(now, path);
    if (entry == nullptr) {
      if (required) fault({path}, "is missing");
      return;
    }
    for (const Entries& parent : parents) {
      if (has_entry(parent, *entry)) return;
    }
    try {
      parse(read_bounded(view_, *entry), path);
    } catch (const Error& error) {
      fault(error.place().file.empty() ? Place{path} : error.place(), error.what());
    }
  };
  check_file("machine.toml", true,
             [](const std::string& text, const std::string& path) { (void)parse_machine_toml(text, path); });
  check_file("layout.toml", true,
             [](const std::string& text, const std::string& path) { (void)parse_layout(text, path); });
  check_file("namebook.tsv", false,
             [](const std::string& text, const std::string& path) { (void)Namebook::parse(text, path); });
  check_file(std::string(reasons_path), false,
             [](const std::string& text, const std::string&) { (void)parse_known_reasons(text); });
  check_file(std::string(clashes_path), false,
             [](const std::string& text, const std::string&) { (void)parse_clashes(text); });
  check_file(
      std::string(store::attributes_path), false, [](const std::string& text, const std::string& path) {
        if (store::is_own_attributes(text)) return;
        throw Error(
            ErrorKind::refused,
            "is not as keepway writes it: other attributes would make Git change originals on checkout",
            "put the file back as it was", Place{path});
      });
}

bool TreeCheck::check_normal_form(const Entries& now, const std::vector<Entries>& parents) {
  const std::size_t before = faults_.size();
  for (const auto& entry : below(now, state_folder)) {
    const bool known = std::any_of(parents.begin(), parents.end(),
                                   [&](const Entries& parent) { return has_entry(parent, entry); });
    if (known || !is_table(entry.path)) continue;
    try {
      (void)read_table(read_bounded(view_, entry), entry.path);
    } catch (const Error& error) {
      fault(error.place(), error.what());
    }
  }
  return faults_.size() == before;
}

void TreeCheck::check_follows(const Entries& now, const std::vector<Entries>& parents,
                              const std::vector<store::Oid>& ids) {
  try {
    const std::vector<StateFile> is = state_files(now);
    const State state = read_state(is);
    State given =
        state_of(originals_of(view_, now), read_as(text(now, "layout.toml"), text(now, "machine.toml")));
    const auto follows = write_state(with_carried(now, std::move(given), state, ids));
    const bool same =
        std::equal(is.begin(), is.end(), follows.begin(), follows.end(),
                   [](const auto& a, const auto& b) { return a.path == b.path && a.content == b.content; });
    if (same || (parents.size() > 1 && is_merge_of(state, parents))) return;
    compare(is, follows);
  } catch (const Error& error) {
    fault(error.place(), error.what());
  }
}

State TreeCheck::with_carried(const Entries& now, State follows, const State& is,
                              const std::vector<store::Oid>& ids) {
  const auto* entry = entry_at(now, std::string(carried_path));
  if (entry == nullptr) return follows;
  std::map<store::Oid, std::vector<Address>> carriers;
  const Table rows = read_table(read_bounded(view_, *entry), carried_path);
  for (const Item& row : rows) carriers[row.value].push_back(Address::parse(row.key));
  for (const auto& carrier_rows : carriers) {
    const store::Oid& commit = carrier_rows.first;
    const std::vector<Address>& addresses = carrier_rows.second;
    const bool below = std::any_of(ids.begin(), ids.end(), [&](const store::Oid& id) {
      return view_.has_commit(commit) && view_.descends(id, commit);
    });
    if (!below) {
      fault({std::string(carried_path)},
            fmt::format("names {}, which is not a commit of this history", shown(commit)));
      continue;
    }
    const State carrier = read_state(state_files(view_.tree(commit)));
    follows = overlay_items(follows, carrier, addresses);
    for (const Address& address : addresses) {
      if (same_item(is, carrier, address)) continue;
      fault({std::string(carried_path)},
            fmt::format("{} is not as the commit {} has it", escape(address.text()), commit.substr(0, 10)));
    }
  }
  return follows;
}

bool TreeCheck::is_merge_of(const State& now, const std::vector<Entries>& sides) const {
  std::vector<State> states;
  states.reserve(sides.size());
  for (const Entries& side : sides) states.push_back(read_state(state_files(side)));
  // What all sides have must not be gone.
  for (const Address& address : addresses_of(states.front())) {
    const bool everywhere = std::all_of(states.begin(), states.end(),
                                        [&](const State& state) { return has_item(state, address); });
    if (everywhere && !has_item(now, address)) return false;
  }
  for (const Group group : all_groups) {
    if (!now.table(group)) continue;
    for (const Item& item : *now.table(group)) {
      const bool found = std::any_of(states.begin(), states.end(), [&](const State& state) {
        const Item* other = state.table(group) ? find_item(*state.table(group), item.key) : nullptr;
        return other != nullptr && other->value == item.value;
      });
      if (!found) return false;
    }
  }
  return std::all_of(now.programs.begin(), now.programs.end(), [&](const Program& program) {
    return std::any_of(states.begin(), states.end(), [&](const State& state) {
      const Program* other = state.program(program.name);
      return other != nullptr && other->text == program.text;
    });
  });
}

void TreeCheck::compare(const std::vector<StateFile>& is, const std::vector<StateFile>& follows) {
  std::map<std::string, std::pair<const std::string*, const std::string*>> files;
  for (const StateFile& file : is) files[file.path].first = &file.content.str();
  for (const StateFile& file : follows) files[file.path].second = &file.content.str();
  for (const auto& [path, pair] : files) {
    const auto [here, given] = pair;
    if (here != nullptr && given != nullptr && *here == *given) continue;
    if (here == nullptr || given == nullptr || !is_table(path)) {
      fault({shown(path)}, given == nullptr  ? "is there, but the originals give no such file"
                           : here == nullptr ? "is missing, but the originals give it"
                                             : "differs from what the originals give");
      continue;
    }
    std::map<std::string, std::pair<const std::string*, const std::string*>, NaturalLess> rows;
    const Table a = read_table(*here, path);
    const Table b = read_table(*given, path);
    for (const Item& item : a) rows[item.key].first = &item.value;
    for (const Item& item : b) rows[item.key].second = &item.value;
    for (const auto& [key, values] : rows) {
      if (values.first != nullptr && values.second != nullptr && *values.first == *values.second) continue;
      fault({path}, fmt::format("{} is {} here, but {} in the originals", escape(key),
                                value_text(values.first), value_text(values.second)));
    }
  }
}

std::vector<StateFile> TreeCheck::state_files(const Entries& entries) const {
  const Entries state = below(entries, state_folder);
  require_bounded(view_, state);
  std::vector<StateFile> files;
  for (const auto& entry : state) {
    if (entry.path != carried_path) files.push_back({entry.path, view_.read(entry.id)});
  }
  return files;
}

std::string TreeCheck::text(const Entries& entries, const std::string& path) const {
  const auto* entry = entry_at(entries, path);
  return entry == nullptr ? std::string() : read_bounded(view_, *entry);
}

}  // namespace keepway
