// What was read, in UTF-8. Spans are of the bytes as received, so that a restore needs no way back.
#pragma once

#include "reader/parts.hpp"

namespace keepway::reader {

// Keys, values, programs and unread rows, as Source::encoding says.
void decode(const Source& source, Output& output);

}  // namespace keepway::reader
