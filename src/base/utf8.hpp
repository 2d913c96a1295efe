// UTF-8 as RFC 3629 has it: shortest forms, no surrogates, up to U+10FFFF.
#pragma once

#include <cstddef>
#include <string_view>

namespace keepway {

// Length of the multi-byte character at the front when it is well formed and not a control or a
// direction mark that could alter how a terminal shows what follows; else 0. ASCII gives 0.
std::size_t printable_utf8(std::string_view bytes);

}  // namespace keepway
