// A whole backup off its medium, read.
#pragma once

#include "keepway/media.hpp"
#include "keepway/reader.hpp"

namespace keepway {

// read_backup() of a set's files. The set must live as long as the reading does.
// `sums`: of the files, in their order, or empty; a memory is asked by them.
Reading read_set(const media::Set& set, const Layout& layout, const ReadContext& context,
                 ReadingMemory* memory = nullptr, const std::vector<Sha256>& sums = {},
                 const OnProgress& on_progress = {});
// The same of files that lay beside those that `memory` read last, or read before them: what it holds of them
// is not read again. It is left as it is.
Reading read_beside(const media::Set& set, const Layout& layout, const ReadContext& context,
                    ReadingMemory& memory);
std::vector<OriginalView> views_of(const media::Set& set, const std::vector<Sha256>& sums);

}  // namespace keepway
