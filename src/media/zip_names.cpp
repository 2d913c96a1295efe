// Which names of a zip are UTF-8, said and read without libarchive: it asks the locale, of which this program
// has none, and where there is one it composes characters that the name has apart, so that the bytes change.
#include <algorithm>

#include "base/encoding.hpp"
#include "media/archive.hpp"
#include "media/fat_format.hpp"
#include "media/system.hpp"
#include "media/zip_format.hpp"

namespace keepway::media {

namespace {

// PKWARE APPNOTE.TXT 6.3: 4.3.7 local file header, 4.3.12 central directory, 4.3.16 its end record.

// Where the central directory begins; past the end when there is none.
std::size_t directory_of(std::string_view zip) {
  if (zip.size() < end_bytes) return zip.size();
  const std::size_t last = zip.size() - end_bytes;
  const std::size_t end = zip.rfind(end_sign, last);
  if (end == std::string_view::npos || last - end > max_comment) return zip.size();
  return get32(zip, end + 16);
}

}  // namespace

std::vector<std::size_t> utf8_name_flags(std::string_view zip) {
  std::vector<std::size_t> places;
  std::size_t at = directory_of(zip);
  while (at < zip.size() && zip.size() - at >= central_bytes && zip.substr(at).starts_with(central_sign)) {
    const std::size_t name_bytes = get16(zip, at + 28);
    const std::string_view name = zip.substr(at + central_bytes, name_bytes);
    const std::size_t local = get32(zip, at + 42);
    // printable() leaves as it is what is UTF-8 and has no control in it.
    if (name.size() == name_bytes && !is_ascii(name) && printable(name) == name && local < zip.size() &&
        zip.size() - local >= local_bytes && zip.substr(local).starts_with(local_sign) &&
        zip.substr(local + local_bytes, get16(zip, local + 26)) == name) {
      places.push_back(at + 8);
      places.push_back(local + 6);
    }
    at += central_bytes + name_bytes + get16(zip, at + 30) + get16(zip, at + 32);
  }
  return places;
}

}  // namespace keepway::media
