// Putting a past state back: originals byte for byte. Knows nothing of how it is shown.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "keepway/media.hpp"
#include "keepway/reader.hpp"

namespace keepway {

// The usual cautions of the trade (common practice, no source), to be shown wherever a restore set
// is handed out. They defer to the builder's manual, local codes and qualified people.
const std::vector<std::string>& loading_cautions();

// The files that a group's items came from. A file that holds several groups is in if one is asked
// for. Files that no group claims are in only when `groups` is empty, which means all.
media::Set select_groups(const media::Set& set, const Reading& reading, const std::vector<Group>& groups);

// One file to load at the machine, in the order of loading: by the layout's `order`, then parameters,
// settings, offsets, variables, programs; unclaimed files last.
struct LoadStep {
  std::string file;
  std::vector<Group> groups;  // that its items belong to; empty when no group claims it
  std::size_t items = 0;
  bool protected_programs = false;  // holds programs whose lock must be off
};
std::vector<LoadStep> load_order(const media::Set& set, const Reading& reading, const Layout& layout);

}  // namespace keepway
