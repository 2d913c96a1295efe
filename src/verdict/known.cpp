#include "verdict/known.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <string_view>
#include <utility>

#include "keepway/sha256.hpp"

namespace keepway::verdict {
namespace {

constexpr std::size_t most_accepted_of_a_code = 1000;

// "May be another machine's" and "may be an old one" are said of one backup: never known.
bool may_be_known(const Reason& reason) {
  constexpr std::array<std::string_view, 7> of_one = {"wrong-serial", "serial-differs", "machine-own-changed",
                                                      "much-differs", "nothing-known",  "older-than-last",
                                                      "file-stale"};
  return reason.weight != Worth::good && std::find(of_one.begin(), of_one.end(), reason.code) == of_one.end();
}

}  // namespace

std::string spot_of(const Reason& reason) {
  return reason.spot.empty() ? reason.place.file : reason.spot;
}

void set_known_apart(const std::vector<KnownReason>& known, Verdict& verdict) {
  std::map<std::pair<std::string, std::string>, const KnownReason*> by_spot;
  for (const KnownReason& each : known) by_spot.emplace(std::pair(each.code, each.spot), &each);
  std::map<std::string, std::vector<std::string>> beyond;  // by code, their spots
  std::map<std::string, std::size_t> noted;
  std::set<std::pair<std::string, std::string>> present;
  const auto note = [&](const std::string& code, const std::string& spot, const std::string& what) {
    if (!present.insert({code, spot}).second) return;
    const auto found = by_spot.find({code, spot});
    verdict.present.push_back(found != by_spot.end() ? *found->second
                                                     : KnownReason{code, spot, 0, 0, "", what});
  };
  for (const Reason& reason : verdict.reasons) {
    if (!may_be_known(reason)) continue;
    if (++noted[reason.code] > most_accepted_of_a_code) {
      beyond[reason.code].push_back(spot_of(reason));
    } else {
      note(reason.code, spot_of(reason), reason.what);
    }
  }
  std::map<std::string, std::string> rest;  // by code: the spot that stands for those beyond the bound
  for (auto& [code, spots] : beyond) {
    std::sort(spots.begin(), spots.end());
    rest[code] = fmt::format("{} more, digest {}", spots.size(),
                             sha256_hex(fmt::format("{}", fmt::join(spots, "\n"))));
    note(code, rest[code], fmt::format("{} more of this kind", spots.size()));
  }
  Reasons fresh;
  std::map<std::string, std::size_t> seen;
  for (Reason& reason : verdict.reasons) {
    const KnownReason* as = nullptr;
    if (may_be_known(reason)) {
      const bool in_rest = ++seen[reason.code] > most_accepted_of_a_code;
      const auto found = by_spot.find({reason.code, in_rest ? rest[reason.code] : spot_of(reason)});
      if (found != by_spot.end()) as = found->second;
    }
    if (as != nullptr) {
      verdict.as_before.push_back({std::move(reason), as->since, as->by});
    } else {
      fresh.push_back(std::move(reason));
    }
  }
  verdict.reasons = std::move(fresh);
}

}  // namespace keepway::verdict
