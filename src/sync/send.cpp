#include "sync/send.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "git/settings.hpp"
#include "sync/move.hpp"

namespace keepway::store {
namespace {

constexpr std::string_view held_prefix = "refs/keepway/sync/";

bool says_moved(const Rejection& each) {
  for (const char* sign : {"fast-forward", "fetch first", "moved meanwhile", "failed to update ref",
                           "failed to lock", "cannot lock ref", "already exists"}) {
    if (each.reason.find(sign) != std::string::npos) return true;
  }
  return false;
}

}  // namespace

bool Sending::send(Remote& remote, const std::vector<RefPush>& refs) {
  const auto rejections = remote.push(repo_, held(refs));
  let_go();
  if (rejections.empty()) return true;
  if (std::all_of(rejections.begin(), rejections.end(), says_moved)) return false;
  std::string said = remote.said().substr(0, 1000);
  std::replace_if(
      said.begin(), said.end(), [](char c) { return c == '\n' || c == '\r'; }, ' ');
  said = printable(said);
  throw Error(ErrorKind::store,
              fmt::format("{} would not take {}: {}{}{}", remote.shown_url(), rejections.front().ref,
                          rejections.front().reason, said.empty() ? "" : "; it said: ", said),
              "see what it says; what came in from there is kept, and nothing here is lost");
}

std::vector<std::string> Sending::held(const std::vector<RefPush>& refs) {
  const auto lock = lock_soon(git_folder_);
  std::vector<std::string> refspecs;
  for (const RefPush& each : refs) {
    std::string from;
    if (each.to) {
      from = std::string(held_prefix) + oid_text(*each.to);
      set_ref(repo_, from, *each.to);
    }
    refspecs.push_back(from + ":" + each.ref);
  }
  return refspecs;
}

void Sending::let_go() {
  const auto lock = lock_soon(git_folder_);
  for (const auto& [ref, id] : refs_below(repo_, held_prefix)) move_ref(repo_, {ref, id, std::nullopt});
}

}  // namespace keepway::store
