// Putting single items back: the machine's newest originals with nothing changed but what was asked for.
//
// Motivation: a whole old file brings back every old value in it. To bring back one, its bytes alone are
// exchanged in the newest file, in the spelling that is there; every other byte stays. Then the result is
// read again: it must hold exactly what was asked, or nothing is given out.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "keepway/compare.hpp"
#include "keepway/media.hpp"
#include "keepway/reader.hpp"

namespace keepway {

// What cannot be put back, and what to do instead.
struct Refusal {
  Address address;
  std::string why;
  std::string remedy;
  Place place;  // in the newest originals; empty for what is not in them
};

// Another backup's originals, out of which the bytes of programs are taken.
struct Donor {
  const media::Set& set;
  const Layout& layout;        // as it was with that backup
  const ReadContext& context;  // the same
};

struct ComposeInput {
  const media::Set& newest;  // the machine's newest originals; files sorted by name
  const Layout& layout;      // that these are read with
  const ReadContext& context;
  const State& target;        // what the asked items shall be
  std::vector<Donor> donors;  // tried in order; needed for programs only
  // Items, or all below an address ("offsets/work/G54"), or a group (an empty key).
  std::vector<Address> asked;
};

struct Composed {
  media::Set set;                    // all files of the newest originals, changed where it was asked
  Reading reading;                   // of `set`
  Changes changes;                   // from the newest state to this: what was asked, and nothing else
  std::vector<std::string> touched;  // files of `set` that were changed or added, in its order
  std::vector<std::string> dropped;  // files of programs taken out that `set` lacks
  std::vector<Refusal> refused;      // of what was asked; `set` is then without it
};

// Does all that was asked. Error{refused} when any of it cannot be done, Error{usage} when neither state
// holds anything at an asked address. Items that are the same already are no error: `changes` is empty then.
Composed compose(const ComposeInput& input);

// Does what can be done, and says in `refused` what cannot. When the result does not read back as it should,
// `set` is the newest one, unchanged.
Composed compose_possible(const ComposeInput& input);

}  // namespace keepway
