// How the numbers of a stored backup are written: what its originals alone tell.
#include "keepway/precision.hpp"

#include "keepway/machine.hpp"
#include "reader/read_set.hpp"
#include "shop/read_as.hpp"

namespace keepway {

Precision Machine::precision(const store::Oid& commit) const {
  try {
    const ReadAs as = read_as(*this, commit);
    const Layout layout = parse_layout(as.layout, "layout.toml");
    const media::Set set = originals(commit);
    return Precision(read_set(set, layout, as.context), views_of(set, {}), layout, as.context.units);
  } catch (const Error&) {
    return {};  // lost, or a layout that no longer reads: what is shown is right all the same
  }
}

}  // namespace keepway
