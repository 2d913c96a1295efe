#include "media/fat_name.hpp"

#include <algorithm>

#include "media/fat_format.hpp"

namespace keepway::media {

namespace {

// FAT-1.03 allows these besides capitals and digits; ECMA-107's own d-characters have only the '_'.
constexpr std::string_view short_marks = "$%'-_@~`!(){}^#&";

bool is_short_byte(char byte) {
  return (byte >= 'A' && byte <= 'Z') || (byte >= '0' && byte <= '9') ||
         short_marks.find(byte) != std::string_view::npos;
}

char capital(char byte) {
  return byte >= 'a' && byte <= 'z' ? static_cast<char>(byte - 'a' + 'A') : byte;
}
char small(char byte) {
  return byte >= 'A' && byte <= 'Z' ? static_cast<char>(byte - 'A' + 'a') : byte;
}

// FAT-1.03, checksum of the short name in its long entries.
unsigned char checksum(std::string_view eleven) {
  unsigned sum = 0;
  for (const char byte : eleven)
    sum = (((sum & 1U) << 7U) + (sum >> 1U) + static_cast<unsigned char>(byte)) & 0xFFU;
  return static_cast<unsigned char>(sum);
}

// UTF-16 (RFC 2781) to UTF-8 (RFC 3629); nullopt for a lone surrogate.
std::optional<std::string> utf8(std::u16string_view units) {
  std::string out;
  for (std::size_t i = 0; i < units.size(); ++i) {
    std::uint32_t point = units[i];
    if (point >= 0xD800 && point <= 0xDFFF) {
      if (point > 0xDBFF || i + 1 == units.size() || units[i + 1] < 0xDC00 || units[i + 1] > 0xDFFF) {
        return std::nullopt;
      }
      point = 0x10000 + ((point - 0xD800) << 10U) + (units[++i] - 0xDC00U);
    }
    const auto put = [&](std::uint32_t value) { out += static_cast<char>(value); };
    if (point < 0x80) {
      put(point);
    } else if (point < 0x800) {
      put(0xC0 | (point >> 6U));
      put(0x80 | (point & 0x3FU));
    } else if (point < 0x10000) {
      put(0xE0 | (point >> 12U));
      put(0x80 | ((point >> 6U) & 0x3FU));
      put(0x80 | (point & 0x3FU));
    } else {
      put(0xF0 | (point >> 18U));
      put(0x80 | ((point >> 12U) & 0x3FU));
      put(0x80 | ((point >> 6U) & 0x3FU));
      put(0x80 | (point & 0x3FU));
    }
  }
  return out;
}

}  // namespace

std::optional<std::string> short_name(std::string_view part) {
  const std::size_t dot = part.find('.');
  const std::string_view base = part.substr(0, dot);
  const std::string_view extension = dot == std::string_view::npos ? "" : part.substr(dot + 1);
  if (base.empty() || base.size() > base_bytes || extension.size() > short_bytes - base_bytes)
    return std::nullopt;
  if (dot != std::string_view::npos && extension.empty()) return std::nullopt;  // "A." would come back as "A"
  std::string out(short_bytes, ' ');
  std::transform(base.begin(), base.end(), out.begin(), capital);
  std::transform(extension.begin(), extension.end(), out.begin() + base_bytes, capital);
  for (std::size_t i = 0; i < base.size(); ++i) {
    if (!is_short_byte(out[i])) return std::nullopt;
  }
  for (std::size_t i = 0; i < extension.size(); ++i) {
    if (!is_short_byte(out[base_bytes + i])) return std::nullopt;
  }
  return out;
}

std::string shown_name(std::string_view eleven, unsigned char lower, bool& good) {
  std::string base(eleven.substr(0, base_bytes));
  std::string extension(eleven.substr(base_bytes, short_bytes - base_bytes));
  if (!base.empty() && static_cast<unsigned char>(base[0]) == entry_e5) base[0] = '\xE5';
  constexpr std::string_view never = "\"*+,./:;<=>?[\\]|\x7F";  // FAT-1.03, legal characters
  for (std::string* part : {&base, &extension}) {
    part->erase(part->find_last_not_of(' ') + 1);
    for (char& byte : *part) {
      if (static_cast<unsigned char>(byte) < 0x20 || never.find(byte) != std::string_view::npos) {
        byte = '_';
        good = false;
      }
    }
  }
  if (base.empty()) {
    base.assign(1, '_');
    good = false;
  }
  if ((lower & 0x08U) != 0) std::transform(base.begin(), base.end(), base.begin(), small);
  if ((lower & 0x10U) != 0) std::transform(extension.begin(), extension.end(), extension.begin(), small);
  if (!extension.empty()) base.append(1, '.').append(extension);
  return base;
}

void LongName::take(std::string_view entry, bool deleted) {
  constexpr unsigned last_mark = 0x40;  // FAT-1.03, LDIR_Ord
  const auto first = static_cast<unsigned char>(entry[0]);
  const auto sum = static_cast<unsigned char>(entry[13]);
  std::size_t ordinal = first & 0x3FU;
  if (deleted) {
    // The ordinal is lost; entries of one name still are in order and share their checksum. Parts are
    // gathered from the end, and where the first one was is only known when the short entry comes.
    if (parts_ == 0 || sum != checksum_) {
      parts_ = max_parts;
      next_ = max_parts;
      checksum_ = sum;
    }
    ordinal = next_;
  } else if ((first & last_mark) != 0) {
    parts_ = ordinal;
    next_ = ordinal;
    checksum_ = sum;
  }
  if (ordinal == 0 || ordinal > max_parts || ordinal != next_ || parts_ == 0 || sum != checksum_) {
    parts_ = 0;
    return;
  }
  --next_;
  // FAT-1.03, LDIR_Name1 to LDIR_Name3: 5, 6 and 2 units.
  constexpr std::array<std::size_t, units_a_part> places{1, 3, 5, 7, 9, 14, 16, 18, 20, 22, 24, 28, 30};
  for (std::size_t i = 0; i < units_a_part; ++i)
    units_[(ordinal - 1) * units_a_part + i] = get16(entry, places[i]);
}

std::optional<std::string> LongName::finish(std::string_view eleven, bool deleted) {
  const std::size_t parts = parts_;
  parts_ = 0;
  if (parts == 0 || (!deleted && (next_ != 0 || checksum(eleven) != checksum_))) return std::nullopt;
  const std::size_t first = deleted ? next_ : 0;  // parts before this one were never there
  std::u16string_view units(units_.data() + first * units_a_part, (parts - first) * units_a_part);
  units = units.substr(0, units.find(u'\0'));
  const bool bad = std::any_of(units.begin(), units.end(), [](char16_t unit) {
    return unit < 0x20 || unit == u'/' || unit == 0x7F || unit == 0xFFFF;
  });
  if (units.empty() || bad || units == u"." || units == u"..") return std::nullopt;
  std::optional<std::string> name = utf8(units);
  if (!name || !deleted) return name;
  // The lost first byte was most often the long name's own as a capital; the checksum tells.
  std::string guess(eleven);
  guess[0] = capital(name->front());
  if (checksum(guess) == checksum_) return name;
  return std::nullopt;
}

}  // namespace keepway::media
