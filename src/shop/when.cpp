// The history of single items, from the index of item changes.
#include <algorithm>
#include <map>
#include <unordered_map>

#include "keepway/shop.hpp"

namespace keepway {
namespace {

bool is_program(const Address& address) {
  return address.group == Group::programs && !is_unread(address.key);
}

std::string block_count(std::string_view text) {
  return std::to_string(std::count(text.begin(), text.end(), '\n')) + " blocks";
}

// Items of a group as the lists show them: a program stands with its number of blocks.
using SeenItems = std::map<std::string, std::string, NaturalLess>;

SeenItems items_of(const store::Repository& repository, const store::Oid& commit, Group group,
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

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

}  // namespace

std::vector<ItemChange> Machine::when(const Address& address) const {
  const bool program = is_program(address);
  const std::string path = program ? program_path(address.key) : table_path(address.group);
  std::vector<std::size_t> places;  // newest first
  std::vector<std::optional<std::string>> written;
  index().find(program ? store::file_name(path) : store::row_name(path, escape(address.key)),
               [&](std::size_t place, std::optional<std::string> value) {
                 places.push_back(place);
                 written.push_back(std::move(value));
               });
  std::vector<Backup> backups = backups_at(places);
  std::vector<ItemChange> changes;
  std::optional<std::string> before;
  for (std::size_t i = places.size(); i-- > 0;) {
    std::optional<std::string> value;
    if (written[i]) value = program ? repository_.read(*written[i]) : unescape(*written[i]);
    if (value != before) changes.push_back({std::move(backups[i]), before, value});
    before = std::move(value);
  }
  std::reverse(changes.begin(), changes.end());
  return changes;
}

std::vector<ItemSince> Machine::since(Group group) const {
  const store::Index& all = index();
  std::vector<ItemSince> result;
  if (all.size() == 0) return result;
  std::unordered_map<std::string, std::size_t> open;  // items not yet dated, with their place in the result
  for (auto& [key, value] : items_of(repository_, all.commit(0), group, true)) {
    open.emplace(is_program({group, key}) ? store::file_name(program_path(key))
                                          : store::row_name(table_path(group), escape(key)),
                 result.size());
    result.push_back({{key, value}, {}});
  }
  std::vector<std::size_t> since(result.size(), all.size() - 1);
  for (std::size_t place = 0; place < all.size() && !open.empty(); ++place) {
    for (const store::Change& change : all.changes(place)) {
      const auto item = open.find(change.name);
      if (item == open.end()) continue;
      since[item->second] = place;
      open.erase(item);
    }
  }
  const std::vector<Backup> backups = backups_at(since);
  for (std::size_t i = 0; i < result.size(); ++i) result[i].since = backups[i];
  return result;
}

std::vector<Address> Machine::search(const std::string& what) const {
  try {
    Address address = Address::parse(what);
    if (!address.key.empty()) return {address};
  } catch (const Error&) {
    // not an address: a part of a name, then
  }
  const std::string wanted = lower(what);
  std::vector<Address> part;
  std::vector<Address> whole;
  const auto tip = latest();
  if (!tip || wanted.empty()) return part;
  for (const Group group : all_groups) {
    for (const auto& [key, seen] : items_of(repository_, tip->commit, group, false)) {
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
