// The reasons that people accepted: listed, and taken back.
#include <fmt/format.h>

#include <algorithm>

#include "keepway/machine.hpp"
#include "shop/known_reasons.hpp"

namespace keepway {

std::vector<KnownReason> Machine::known_reasons() const {
  const auto tip = repository_.tip();
  const auto text = tip ? repository_.read_at(*tip, std::string(reasons_path)) : std::nullopt;
  return text ? parse_known_reasons(*text) : std::vector<KnownReason>();
}

std::vector<KnownReason> Machine::take_back(const TakeBack& what) {
  const store::Oid tip = repository_.tip().value_or("");
  const std::vector<KnownReason> known = known_reasons();
  std::vector<KnownReason> taken;
  std::vector<KnownReason> left;
  for (const std::size_t place : what.places) {
    if (place < known.size()) continue;
    throw Error(ErrorKind::usage,
                fmt::format("{} has no accepted reason {}; there {} {}", facts_.name, place + 1,
                            known.size() == 1 ? "is" : "are", known.size()),
                fmt::format("see them first: keepway reasons {}", facts_.name));
  }
  for (std::size_t i = 0; i < known.size(); ++i) {
    const bool wanted = std::find(what.places.begin(), what.places.end(), i) != what.places.end();
    (wanted ? taken : left).push_back(known[i]);
  }
  if (taken.empty()) return taken;
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
