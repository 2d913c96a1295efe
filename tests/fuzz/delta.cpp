// Any two texts: what makes the one out of the other makes it whole, and is held to its limit.
#include "git/delta.hpp"

#include "apply_delta.hpp"

// The first byte says how many of the rest, in 256ths, are the base.
extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  if (size == 0) return 0;
  const std::string_view rest(reinterpret_cast<const char*>(data) + 1, size - 1);
  const std::string_view base = rest.substr(0, rest.size() * data[0] / 256);
  const std::string_view target = rest.substr(base.size());
  using keepway::fuzz::require;
  const auto delta = keepway::store::make_delta(base, target, SIZE_MAX);
  require(delta.has_value());
  require(keepway::fuzz::apply_delta(base, *delta) == target);
  const auto same = keepway::store::make_delta(base, target, delta->size());
  require(same == delta);
  if (delta->size() > 0) require(!keepway::store::make_delta(base, target, delta->size() - 1));
  return 0;
}
