// A whole backup off its medium, read.
#pragma once

#include "keepway/media.hpp"
#include "keepway/reader.hpp"

namespace keepway {

// read_backup() of a set's files. The set must live as long as the reading does.
Reading read_set(const media::Set& set, const Layout& layout, const ReadContext& context,
                 ReadingMemory* memory = nullptr);

}  // namespace keepway
