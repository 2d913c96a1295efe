// A zip's records: PKWARE APPNOTE.TXT 6.3, 4.3.7 (local file header), 4.3.12 (central directory) and 4.3.16
// (its end record). Lengths are without the names, extra fields and comments behind them.
#pragma once

#include <cstddef>
#include <string_view>

namespace keepway::media {

inline constexpr std::string_view local_sign("PK\x03\x04", 4);
inline constexpr std::string_view central_sign("PK\x01\x02", 4);
inline constexpr std::string_view end_sign("PK\x05\x06", 4);
inline constexpr std::size_t local_bytes = 30;
inline constexpr std::size_t central_bytes = 46;
inline constexpr std::size_t end_bytes = 22;
inline constexpr std::size_t max_comment = 0xFFFF;

}  // namespace keepway::media
