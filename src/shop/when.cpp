// The history of single items, from the index of item changes.
#include <algorithm>
#include <map>
#include <unordered_map>
#include <utility>

#include "keepway/machine.hpp"
#include "keepway/text.hpp"
#include "shop/backup_commit.hpp"
#include "shop/main_line.hpp"
#include "shop/read_again.hpp"
#include "shop/status_memory.hpp"

namespace keepway {
namespace {

bool is_program(const Address& address) {
  return address.group == Group::programs && !is_unread(address.key);
}

// What a name of the index stands for; nullopt for what is no item (`state/carried.tsv`).
std::optional<Address> item_of(std::string_view name) {
  const store::Named named = store::named(name);
  if (!named.written_key) {
    auto program = program_name_from_path(named.path);
    return program ? std::optional(Address{Group::programs, std::move(*program)}) : std::nullopt;
  }
  for (const Group group : all_groups) {
    if (named.path != table_path(group)) continue;
    auto key = unescape(*named.written_key);
    return key ? std::optional(Address{group, std::move(*key)}) : std::nullopt;
  }
  return std::nullopt;
}

std::string block_count(std::string_view text) {
  return std::to_string(std::count(text.begin(), text.end(), '\n')) + " blocks";
}

// Items of a group as the lists show them: a program stands with its number of blocks.
using SeenItems = std::map<std::string, std::string, NaturalLess>;

SeenItems stored_items(const store::Repository& repository, const store::Oid& commit, Group group,
                       bool with_values) {
  SeenItems seen;
  if (const auto text = repository.read_at(commit, table_path(group))) {
    for (Item& item : read_table(*text, table_path(group))) seen[item.key] = item.value;
  }
  if (group == Group::programs) {
    for (const store::Blob& blob : repository.list(commit, "state/programs/")) {
      auto name = program_name_from_path(blob.path);
      if (name) seen[*name] = with_values ? block_count(repository.read(blob.id)) : "";
    }
  }
  return seen;
}

SeenItems items_of(const Machine& machine, const store::Oid& commit, Group group, bool with_values) {
  const store::Repository& repository = machine.repository();
  const auto from_state = [&] {
    SeenItems seen;
    const State state = machine.state(commit);
    for (const Item& item : state.table(group).value_or(Table{})) seen[item.key] = item.value;
    if (group != Group::programs) return seen;
    for (const Program& program : state.programs) seen[program.name] = block_count(program.text);
    return seen;
  };
  if (!made_by_this_reader(repository.info(commit))) return from_state();
  try {
    return stored_items(repository, commit, group, with_values);
  } catch (const Error& lost) {
    if (lost.kind() != ErrorKind::store) throw;
    return from_state();
  }
}

std::string_view trim(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

// A key up to its slash number `slashes`, from 0.
std::string_view front_parts(std::string_view key, std::ptrdiff_t slashes) {
  std::size_t end = key.find('/');
  for (; slashes > 0 && end != std::string_view::npos; --slashes) end = key.find('/', end + 1);
  return key.substr(0, end);
}

// How many bytes were typed wrongly, left out, added, or in each other's place (Damerau and Levenshtein's
// distance, of optimal alignments), up to what one mistypes: two, and one in a short text. nullopt for more.
// Looks at no key that is over 100 bytes.
std::optional<std::size_t> typing_errors(std::string_view typed, std::string_view key) {
  constexpr std::size_t longest = 100;
  const std::size_t most = typed.size() > 4 ? 2 : 1;
  const std::size_t apart = typed.size() > key.size() ? typed.size() - key.size() : key.size() - typed.size();
  if (apart > most || typed.size() > longest || key.size() > longest) return std::nullopt;
  std::vector<std::size_t> before(key.size() + 1);
  std::vector<std::size_t> above(key.size() + 1);
  std::vector<std::size_t> row(key.size() + 1);
  for (std::size_t j = 0; j < row.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= typed.size(); ++i) {
    std::swap(before, above);
    std::swap(above, row);
    row[0] = i;
    for (std::size_t j = 1; j <= key.size(); ++j) {
      const std::size_t kept = above[j - 1] + (typed[i - 1] == key[j - 1] ? 0 : 1);
      row[j] = std::min({kept, row[j - 1] + 1, above[j] + 1});
      const bool swapped = i > 1 && j > 1 && typed[i - 1] == key[j - 2] && typed[i - 2] == key[j - 1];
      if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
    }
  }
  return row.back() <= most ? std::optional(row.back()) : std::nullopt;
}

}  // namespace

int Machine::reader_at(std::size_t place) const {
  const store::Index& all = index();
  if (readers_tip_ != index_tip_) readers_.assign(all.size(), std::nullopt);
  readers_tip_ = index_tip_;
  std::optional<int>& reader = readers_[place];
  if (!reader) reader = backup_from_commit(all.info(place)).value_or(Backup{}).reader;
  return *reader;
}

std::optional<std::set<std::string>> Machine::true_changes(std::size_t place) const {
  const store::Index& all = index();
  if (place + 1 >= all.size()) return std::nullopt;
  if (reader_at(place) == reader_at(place + 1)) return std::nullopt;
  std::set<std::string> names;
  const Changes found = compare(state(all.commit(place + 1)), state(all.commit(place)));
  for (const ValueChange& change : found.values) {
    names.insert(store::row_name(table_path(change.group), escape(change.key)));
  }
  for (const ProgramChange& change : found.programs) {
    names.insert(store::file_name(program_path(change.name)));
    if (!change.before_name.empty()) names.insert(store::file_name(program_path(change.before_name)));
  }
  return names;
}

void Machine::visit_changes(const VisitChange& visit) const {
  const store::Index& all = index();
  for (std::size_t place = all.size(); place-- > 0;) {
    const auto differs = true_changes(place);
    for (store::Change& change : all.changes(place)) {
      if (differs && !differs->contains(change.name)) continue;
      auto item = item_of(change.name);
      if (!item) continue;
      if (change.value && !is_program(*item)) change.value = unescape(*change.value);
      visit(all.size() - 1 - place, std::move(*item), std::move(change.value));
    }
  }
}

std::optional<std::string> Machine::value_at(const Backup& backup, const Address& address) const {
  if (is_program(address)) {
    const State read = state(backup.commit);
    const Program* program = read.program(address.key);
    return program == nullptr ? std::nullopt : std::optional(program->text);
  }
  const auto items = table(backup.commit, address.group);
  const Item* item = items ? find_item(*items, address.key) : nullptr;
  return item == nullptr ? std::nullopt : std::optional(item->value);
}

std::vector<ItemChange> Machine::when(const Address& address) const {
  const bool program = is_program(address);
  const std::string path = program ? program_path(address.key) : table_path(address.group);
  std::vector<Backup> backups;  // newest first
  std::vector<std::optional<std::string>> written;
  index().find(program ? store::file_name(path) : store::row_name(path, escape(address.key)),
               [&](std::size_t, std::optional<std::string> value, const store::CommitInfo& info) {
                 backups.push_back(backup_from_commit(info).value_or(Backup{}));
                 written.push_back(std::move(value));
               });
  amend(backups);
  add_marks(backups);
  for (std::optional<std::string>& value : written) {
    if (value && !program) value = unescape(*value);
  }
  for (std::size_t i = 0; program && i < written.size(); ++i) {
    if (!written[i]) continue;
    try {
      written[i] = repository_.read(*written[i]);
    } catch (const Error& lost) {
      if (lost.kind() != ErrorKind::store) throw;
      written[i] = value_at(backups[i], address);
    }
  }
  std::vector<ItemChange> changes;
  changes.reserve(backups.size());
  for (std::size_t i = 0; i < backups.size(); ++i) {
    std::optional<std::string> before = i + 1 < backups.size() ? written[i + 1] : std::nullopt;
    std::optional<std::string> after = written[i];
    if (before && backups[i].reader != backups[i + 1].reader) {
      before = value_at(backups[i + 1], address);
      after = value_at(backups[i], address);
    }
    if (after != before) changes.push_back({std::move(backups[i]), std::move(before), std::move(after)});
  }
  if (program) add_former_name(address, changes);
  return changes;
}

// Main's newest backup, where the line in force has it; else what was stored on it last.
std::size_t Machine::shown_place() const {
  if (repository_.line() != main_line(repository_)) return 0;
  const auto newest = main().newest;
  const auto place = newest ? index().place_of(newest->commit) : std::nullopt;
  return place.value_or(0);
}

std::optional<Backup> Machine::shown() const {
  if (index().size() == 0) return std::nullopt;
  std::vector<Backup> found = backups_at({shown_place()});
  return found.empty() ? std::nullopt : std::optional(std::move(found.front()));
}

// A reader of another version may have called a program otherwise: where it seems to come with the first
// backup that this one read and was there before, its history goes on under the name that it had.
void Machine::add_former_name(const Address& address, std::vector<ItemChange>& changes) const {
  if (changes.empty() || changes.back().before) return;
  const store::Oid border = changes.back().backup.commit;
  const auto place = index().place_of(border);
  if (!place || *place + 1 >= index().size()) return;
  const std::vector<Backup> before = backups_at({*place + 1});
  if (before.empty()) return;  // its commit is lost
  const Backup& last = before.front();
  if (last.reader == changes.back().backup.reader) return;
  auto value = value_at(last, address);
  if (!value) return;
  const auto came = received(last.commit, address.key);
  if (!came || came->file == address.key) return;
  std::vector<ItemChange> former = when({Group::programs, came->file});
  std::erase_if(former, [&](const ItemChange& each) { return each.backup.commit == border; });
  if (former.empty()) return;
  if (changes.back().after == value) {
    changes.pop_back();
  } else {
    changes.back().before = std::move(value);
  }
  std::move(former.begin(), former.end(), std::back_inserter(changes));
}

std::vector<ItemSince> Machine::since(Group group) const {
  const store::Index& all = index();
  std::vector<ItemSince> result;
  if (all.size() == 0) return result;
  const std::size_t from = shown_place();
  std::unordered_map<std::string, std::size_t> open;  // items not yet dated, with their place in the result
  for (auto& [key, value] : items_of(*this, all.commit(from), group, true)) {
    open.emplace(is_program({group, key}) ? store::file_name(program_path(key))
                                          : store::row_name(table_path(group), escape(key)),
                 result.size());
    result.push_back({{key, value}, {}});
  }
  std::vector<std::size_t> since(result.size(), all.size() - 1);
  for (std::size_t place = from; place < all.size() && !open.empty(); ++place) {
    const auto differs = true_changes(place);
    for (const store::Change& change : all.changes(place)) {
      const auto item = open.find(change.name);
      if (item == open.end() || (differs && !differs->contains(change.name))) continue;
      since[item->second] = place;
      open.erase(item);
    }
  }
  std::vector<Backup> backups;
  backups.reserve(since.size());
  for (const std::size_t place : since)
    backups.push_back(backup_from_commit(all.info(place)).value_or(Backup{}));
  amend(backups);
  add_marks(backups);
  for (std::size_t i = 0; i < result.size(); ++i) result[i].since = std::move(backups[i]);
  return result;
}

// The item at an address if ever there was one, else the items below it, of the newest backup that has any.
std::vector<Address> Machine::meant_by(const Address& address) const {
  const store::Index& all = index();
  if (all.size() == 0) return {};
  if (!address.key.empty() && !when(address).empty()) return {address};
  std::vector<Address> found;
  const auto look = [&](const std::string& key) {
    if (covers(address, {address.group, key})) found.push_back({address.group, key});
  };
  for (const auto& [key, seen] : items_of(*this, all.commit(0), address.group, false)) look(key);
  // What the newest backup does not have and one before it had is gone since some backup between them.
  for (std::size_t place = 0; place < all.size() && found.empty(); ++place) {
    for (const store::Change& change : all.changes(place)) {
      if (change.value) continue;
      if (const auto gone = item_of(change.name); gone && gone->group == address.group) look(gone->key);
    }
  }
  std::sort(found.begin(), found.end(),
            [](const Address& a, const Address& b) { return natural_order(a.key, b.key) < 0; });
  return found;
}

std::vector<Address> Machine::near(const Address& address) const {
  constexpr std::size_t most = 3;
  std::vector<std::pair<std::size_t, Address>> found;
  const auto tip = latest();
  if (!tip) return {};
  const std::string typed = lower(address.key);
  const auto parts = std::count(typed.begin(), typed.end(), '/');
  std::string_view last;
  const SeenItems own = items_of(*this, tip->commit, address.group, false);
  for (const auto& [key, seen] : own) {
    const std::string_view row = front_parts(key, parts);  // an item, or the row that it belongs to
    if (row == std::exchange(last, row)) continue;
    if (const auto steps = typing_errors(typed, lower(row))) {
      found.emplace_back(*steps, Address{address.group, std::string(row)});
    }
  }
  for (const Group group : all_groups) {  // the right key in the wrong group
    if (group == address.group) continue;
    const SeenItems items = items_of(*this, tip->commit, group, false);
    if (items.contains(address.key)) found.emplace_back(0, Address{group, address.key});
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<Address> nearest;
  for (std::size_t i = 0; i < std::min(most, found.size()); ++i)
    nearest.push_back(std::move(found[i].second));
  return nearest;
}

std::vector<Address> Machine::search(const std::string& what) const {
  try {
    const Address address = Address::parse(what);
    if (!address.key.empty()) return meant_by(address);
  } catch (const Error&) {
    // not an address: a part of a name, then
  }
  const std::string wanted = lower(trim(what));
  std::vector<Address> part;
  std::vector<Address> whole;
  const auto tip = latest();
  if (!tip || wanted.empty()) return part;
  for (const Group group : all_groups) {
    for (const auto& [key, seen] : items_of(*this, tip->commit, group, false)) {
      const Address address{group, key};
      const std::string name = lower(namebook_.name(group, key));
      if (name == wanted || lower(key) == wanted) {
        whole.push_back(address);
      } else if (name.find(wanted) != std::string::npos ||
                 lower(address.text()).find(wanted) != std::string::npos) {
        part.push_back(address);
      }
    }
  }
  if (whole.size() == 1) return whole;
  whole.insert(whole.end(), part.begin(), part.end());
  return whole;
}

}  // namespace keepway
