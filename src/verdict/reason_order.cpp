#include "verdict/reason_order.hpp"

#include <algorithm>
#include <array>
#include <string_view>

namespace keepway::verdict {
namespace {

// Causes before effects: a medium that lost a sector cuts a file, a cut file lacks its locked programs.
constexpr std::array<std::string_view, 31> causes_first = {
    "medium-damaged",      "memory-lost",  "file-empty",      "sector-lost",     "sector-missing",
    "program-cut-off",     "file-cut",     "medium-full",     "programs-joined", "word-twice",
    "number-broken",       "stray-byte",   "parity-wrong",    "wrong-serial",    "serial-differs",
    "machine-own-changed", "unit-differs", "heading-differs", "much-differs",    "nothing-known",
    "saved-as-utf8",       "dated-ahead",  "clock-behind",    "older-than-last", "group-missing",
    "file-missing",        "no-rows",      "file-stale",      "count-fell",      "rows-gone",
    "protected-gone"};

std::size_t rank(const std::string& code) {
  return static_cast<std::size_t>(std::find(causes_first.begin(), causes_first.end(), code) -
                                  causes_first.begin());
}

bool is_any(const std::string& code, std::initializer_list<std::string_view> codes) {
  return std::find(codes.begin(), codes.end(), code) != codes.end();
}

// How a doubt is accounted for by the gravest one; empty when it is not.
std::string_view effect_of(const Reason& cause, const Reason& reason) {
  if (reason.weight != Worth::doubtful || reason.code == cause.code) return {};
  if (cause.code == "memory-lost" && is_any(reason.code, {"group-missing", "no-rows", "count-fell",
                                                          "protected-gone", "call-missing", "file-empty"}))
    return ": an effect of the lost memory";
  const bool sector = is_any(cause.code, {"sector-lost", "sector-missing"});
  if (sector && cause.place.file == reason.place.file && is_any(reason.code, {"program-cut-off", "file-cut"}))
    return ": perhaps an effect of the first";
  const bool cut =
      is_any(cause.code, {"program-cut-off", "file-cut", "sector-lost", "sector-missing", "file-empty"});
  if (cut && is_any(reason.code, {"group-missing", "no-rows", "count-fell", "rows-gone", "protected-gone",
                                  "call-missing"}))
    return ": perhaps an effect of the first";
  return {};
}

}  // namespace

void order_by_gravity(Reasons& reasons) {
  std::stable_sort(reasons.begin(), reasons.end(), [](const Reason& a, const Reason& b) {
    if (a.weight != b.weight) return a.weight > b.weight;
    return rank(a.code) < rank(b.code);
  });
  const auto cause = std::find_if(reasons.begin(), reasons.end(),
                                  [](const Reason& reason) { return reason.weight == Worth::doubtful; });
  if (cause == reasons.end()) return;
  for (Reason& reason : reasons) reason.what += effect_of(*cause, reason);
}

}  // namespace keepway::verdict
