// What a machine held at a backup: its state, and the files as they came.
#include <memory>
#include <unordered_map>
#include <utility>
#include <vector>

#include "keepway/machine.hpp"
#include "keepway/sha256.hpp"
#include "keepway/shared_text.hpp"
#include "shop/read_again.hpp"
#include "shop/stored_set.hpp"

namespace keepway {

const State* Machine::again(const store::Oid& commit) const {
  const auto held = again_.find(commit);
  if (held != again_.end()) return held->second.get();
  auto state = read_again(repository_, commit);
  return state ? &hold_again(commit, std::move(*state)) : nullptr;
}

const State& Machine::hold_again(const store::Oid& commit, State state) const {
  constexpr std::size_t most = 8;  // a comparison needs two
  if (again_.size() >= most) again_.clear();
  auto held = std::make_shared<const State>(std::move(state));
  return *again_.insert_or_assign(commit, std::move(held)).first->second;
}

const State& Machine::despite(const Error& lost, const store::Oid& commit) const {
  return hold_again(commit, state_despite(lost, repository_, commit));
}

State Machine::state(const store::Oid& commit) const {
  if (const State* read = again(commit)) return *read;
  try {
    std::vector<StateFile> files;
    for (const store::Blob& blob : repository_.list(commit, "state/")) {
      files.push_back({blob.path, repository_.read(blob.id)});
    }
    return read_state(std::move(files));
  } catch (const Error& lost) {
    return despite(lost, commit);
  }
}

State Machine::state_before(const store::Oid& commit, Inspection& inspection) const {
  const std::vector<StateFile>& now = inspection.state_files;
  std::vector<std::string_view> contents;
  contents.reserve(now.size());
  const bool summed = !inspection.state_sums.empty();
  for (const StateFile& file : now) {
    contents.push_back(file.content);
    if (!summed) inspection.state_sums.emplace_back(sha256(file.content));
  }
  if (const State* read = again(commit)) return *read;
  const std::vector<store::Oid> ids = repository_.blob_ids(contents, inspection.state_sums);
  std::unordered_map<std::string_view, std::size_t> at_hand;
  for (std::size_t i = 0; i < now.size(); ++i) at_hand.emplace(ids[i], i);
  try {
    std::vector<StateFile> files;
    for (const store::Blob& blob : repository_.list(commit, "state/")) {
      const auto found = at_hand.find(blob.id);
      files.push_back({blob.path, found != at_hand.end() ? now[found->second].content
                                                         : SharedText(repository_.read(blob.id))});
    }
    return read_state(std::move(files));
  } catch (const Error& lost) {
    return despite(lost, commit);
  }
}

std::optional<Table> Machine::table(const store::Oid& commit, Group group) const {
  if (const State* read = again(commit)) return read->table(group);
  try {
    const auto text = repository_.read_at(commit, table_path(group));
    if (!text) return std::nullopt;
    return read_table(*text, table_path(group));
  } catch (const Error& lost) {
    return despite(lost, commit).table(group);
  }
}

media::Set Machine::originals(const store::Oid& commit) const {
  return originals_at(repository_, commit);
}

}  // namespace keepway
