// The reasons that people accepted: listed, and taken back.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "keepway/machine.hpp"
#include "shop/backup_commit.hpp"
#include "shop/known_reasons.hpp"
#include "shop/status_memory.hpp"

namespace keepway {

std::vector<KnownReason> Machine::stored_reasons() const {
  const auto tip = repository_.tip();
  const auto text = tip ? repository_.read_at(*tip, std::string(reasons_path)) : std::nullopt;
  return text ? parse_known_reasons(*text) : std::vector<KnownReason>();
}

std::vector<KnownReason> Machine::without_withdrawn(std::vector<KnownReason> known) const {
  if (known.empty() || main().amendments.empty()) return known;
  std::map<std::int64_t, std::map<int, bool>> gone;  // by time of intake and number
  for (const KnownReason& each : known) {
    if (main().amendments.withdraw_one_taken(each.at)) gone[each.at];
  }
  if (gone.empty()) return known;
  repository_.walk(tip_in_force(repository_), [&](const store::CommitInfo& info) {
    auto backup = backup_from_commit(info);
    if (!backup || !gone.contains(backup->taken)) return true;
    main().amendments.apply(*backup);
    gone[backup->taken][backup->number] = backup->withdrawn.has_value();
    return true;
  });
  std::erase_if(known, [&](const KnownReason& each) {
    const auto found = gone.find(each.at);
    if (found == gone.end()) return false;
    const auto by_number = found->second.find(each.since);
    if (by_number != found->second.end()) return by_number->second;
    // A sync gave it another number: its time of intake tells it, where no other came in at that time.
    return std::all_of(found->second.begin(), found->second.end(),
                       [](const auto& backup) { return backup.second; });
  });
  return known;
}

std::vector<KnownReason> Machine::known_reasons() const {
  return without_withdrawn(stored_reasons());
}

std::vector<KnownReason> Machine::take_back(const TakeBack& what) {
  const store::Oid tip = repository_.tip().value_or("");
  const std::vector<KnownReason> known = known_reasons();
  std::vector<KnownReason> taken;
  for (const std::size_t place : what.places) {
    if (place < known.size()) continue;
    throw Error(ErrorKind::usage,
                fmt::format("{} has no accepted reason {}; there {} {}", facts_.name, place + 1,
                            known.size() == 1 ? "is" : "are", known.size()),
                fmt::format("see them first: keepway reasons {}", facts_.name));
  }
  for (std::size_t i = 0; i < known.size(); ++i) {
    if (std::find(what.places.begin(), what.places.end(), i) != what.places.end()) taken.push_back(known[i]);
  }
  if (taken.empty()) return taken;
  // Those of a withdrawn backup stay for the case that it is used again.
  std::vector<KnownReason> left = stored_reasons();
  std::erase_if(left, [&](const KnownReason& each) {
    return std::any_of(taken.begin(), taken.end(), [&](const KnownReason& gone) {
      return gone.code == each.code && gone.spot == each.spot;
    });
  });
  store::NewCommit commit;
  commit.summary = taken.size() == 1 ? fmt::format("Reason taken back: {}: {}", taken[0].code, taken[0].what)
                                     : fmt::format("{} reasons taken back", taken.size());
  commit.body = what.why;
  for (const KnownReason& each : taken)
    commit.trailers.emplace_back("Keepway-Took-Back", each.code + ": " + each.what);
  commit.author = what.by;
  commit.at = commit.taken = what.now;
  commit.onto = tip;
  const std::string text = write_known_reasons(left);
  const std::string path(reasons_path);
  if (left.empty()) {
    repository_.add(repository_.line(), {path}, {}, commit);
  } else {
    repository_.add(repository_.line(), {}, {{path, text}}, commit);
  }
  return taken;
}

}  // namespace keepway
