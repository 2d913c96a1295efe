// A received file name as a path that any Git client on any system can hold, and back.
#include <algorithm>
#include <array>

#include "base/digit.hpp"
#include "keepway/error.hpp"
#include "keepway/text.hpp"

namespace keepway {
namespace {

constexpr std::size_t max_name = 4096;
// Git and file systems hold a part of at most 255 bytes; escapes may triple a name.
constexpr std::size_t max_part = 255;

void put_escaped(std::string& out, char c) {
  const auto byte = static_cast<unsigned char>(c);
  ((out += '%') += hex_digits[byte >> 4]) += hex_digits[byte & 15];
}

// Names that some systems give to devices whatever their ending (common practice, no source).
bool is_device(std::string_view part) {
  const std::string stem = upper(part.substr(0, part.find('.')));
  static constexpr std::array<std::string_view, 4> plain = {"CON", "PRN", "AUX", "NUL"};
  if (std::find(plain.begin(), plain.end(), stem) != plain.end()) return true;
  return stem.size() == 4 && (stem.starts_with("COM") || stem.starts_with("LPT")) && stem[3] >= '0' &&
         stem[3] <= '9';
}

// Git refuses `.git` in a tree in any letter case and its short and look-alike forms; any part
// that begins with ".git", or that could be short for such a name, has its first byte escaped, which is more
// than it asks for.
bool is_reserved(std::string_view part) {
  const std::string name = upper(part);
  const bool short_name = name.starts_with("GI") && name.find('~') != std::string::npos;
  return name.starts_with(".GIT") || short_name || is_device(part);
}

void put_part(std::string& out, std::string_view part) {
  const bool reserved = is_reserved(part);
  for (std::size_t i = 0; i < part.size();) {
    const char c = part[i];
    const bool last = i + 1 == part.size();
    const bool forbidden = std::string_view("%\\:*?\"<>|").find(c) != std::string_view::npos ||
                           (last && (c == '.' || c == ' ')) || (i == 0 && (reserved || c == ' '));
    if (c >= 0x20 && c < 0x7f) {
      if (forbidden) {
        put_escaped(out, c);
      } else {
        out += c;
      }
      ++i;
    } else if (const std::size_t length = printable_utf8(part.substr(i)); length > 0 && !reserved) {
      out += part.substr(i, length);
      i += length;
    } else {
      put_escaped(out, c);
      ++i;
    }
  }
}

[[noreturn]] void refuse(std::string_view name, const std::string& why) {
  throw Error(ErrorKind::refused, "file name '" + escape(name.substr(0, 200)) + "' " + why,
              "rename it on the medium, or take the file in by itself", Place{escape(name.substr(0, 200))});
}

}  // namespace

std::string safe_path(std::string_view name) {
  if (name.empty()) refuse(name, "is empty");
  if (name.size() > max_name) refuse(name, "is longer than 4096 bytes");
  std::string out;
  for (std::size_t at = 0; at <= name.size();) {
    const std::size_t slash = std::min(name.find('/', at), name.size());
    const std::string_view part = name.substr(at, slash - at);
    if (part.empty()) refuse(name, at == 0 ? "is absolute" : "has an empty part");
    if (part == "." || part == "..") refuse(name, "could lead out of its folder");
    if (part.find('\0') != std::string_view::npos) refuse(name, "holds a NUL byte");
    const std::size_t begin = out.size();
    put_part(out, part);
    if (out.size() - begin > max_part)
      refuse(name, "has a part longer than a disk can hold (255 bytes, escaped)");
    at = slash + 1;
    if (slash < name.size()) out += '/';
  }
  return out;
}

std::string received_name(std::string_view safe) {
  std::string out;
  out.reserve(safe.size());
  for (std::size_t i = 0; i < safe.size(); ++i) {
    if (safe[i] == '%' && i + 2 < safe.size()) {
      const std::size_t high = hex_digits.find(safe[i + 1]);
      const std::size_t low = hex_digits.find(safe[i + 2]);
      if (high != std::string_view::npos && low != std::string_view::npos) {
        out += static_cast<char>(high * 16 + low);
        i += 2;
        continue;
      }
    }
    out += safe[i];
  }
  return out;
}

}  // namespace keepway
