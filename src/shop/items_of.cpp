#include "shop/items_of.hpp"

#include <algorithm>

#include "shop/read_again.hpp"

namespace keepway {

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

namespace {

std::string block_count(std::string_view text) {
  return std::to_string(std::count(text.begin(), text.end(), '\n')) + " blocks";
}

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

}  // namespace

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

}  // namespace keepway
