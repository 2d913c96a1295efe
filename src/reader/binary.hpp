// What no control wrote as text.
#pragma once

#include <string_view>

namespace keepway::reader {

// Text, as a control writes it: hardly a control byte, but for what a tape has around it. `cleaned`: see
// clean().
bool is_text(std::string_view cleaned);
// Far from it, as a picture is: a short text that the line has spoiled is not.
bool is_binary(std::string_view cleaned);

}  // namespace keepway::reader
