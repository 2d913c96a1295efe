// Which character set 8-bit text is probably in: the one in which its bytes above 127 are letters of words.
#include <algorithm>
#include <array>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "reader/clean.hpp"
#include "reader/lines.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

// Letters of the larger European languages, and the few signs that tables have.
constexpr std::string_view west = "äöüÄÖÜßéèêëàâçîïôûùñáíóúåæøÅÆØÉÈÊËÀÂÇÎÏÔÛÙÑÁÍÓÚ";
constexpr std::string_view other_signs = "°µ±²³½¼";  // which are in no word
constexpr std::string_view east = "ąćęłńśźżĄĆĘŁŃŚŹŻčďěňřšťůýžČĎĚŇŘŠŤŮÝŽőűŐŰáéíóúÁÉÍÓÚäöüÄÖÜß";

// Characters above 127 of UTF-8 text that `letters` has, less those that it has not.
long worth(std::string_view utf8, std::string_view letters) {
  long found = 0;
  for (std::size_t at = 0; at < utf8.size();) {
    const auto lead = static_cast<unsigned char>(utf8[at]);
    if (lead < 0x80) {
      ++at;
      continue;
    }
    const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : lead >= 0xC0 ? 2 : 1;
    const std::string_view character = utf8.substr(at, length);
    const auto letter_at = [&](std::size_t i) { return i < utf8.size() && is_letter(utf8[i]); };
    const bool inside = at > 0 && letter_at(at - 1) && letter_at(at + length);
    const bool known = letters.find(character) != std::string_view::npos ||
                       (!inside && other_signs.find(character) != std::string_view::npos);
    found += length > 1 && known ? 2 : -3;
    at += length;
  }
  return found;
}

}  // namespace

std::string encoding_of(std::string_view text) {
  constexpr std::size_t looked_at = 1 << 16;
  struct Set {
    const char* name;
    std::string_view letters;
  };
  constexpr std::array<Set, 6> sets = {{{"ISO-8859-1", west},
                                        {"CP850", west},
                                        {"WINDOWS-1252", west},
                                        {"ISO-8859-2", east},
                                        {"CP852", east},
                                        {"WINDOWS-1250", east}}};
  text = text.substr(0, looked_at);
  const auto high = [](char c) { return static_cast<unsigned char>(c) >= 0x80; };
  if (std::none_of(text.begin(), text.end(), high)) return {};
  if (Encoding("UTF-8").from_utf8(text)) return {};
  if (reader::find_parity(text).carried) return {};
  std::string best;
  long most = 0;
  for (const Set& set : sets) {
    const long found = worth(Encoding(set.name).to_utf8(text), set.letters);
    if (found <= most) continue;
    most = found;
    best = set.name;
  }
  return best;
}

std::string common_encoding(const std::vector<OriginalView>& samples) {
  constexpr std::size_t most = 1 << 16;
  std::string all;
  for (const OriginalView& sample : samples) {
    reader::Cleaned cleaned;
    reader::clean(sample.bytes, sample.name, cleaned);
    if (encoding_of(cleaned.text).empty()) continue;
    reader::Lines lines(cleaned.text);
    for (reader::Line line; lines.next(line) && all.size() < most;) {
      const auto high = [](char c) { return static_cast<unsigned char>(c) >= 0x80; };
      if (std::any_of(line.text.begin(), line.text.end(), high)) (all += line.text) += '\n';
    }
  }
  return encoding_of(all);
}

}  // namespace keepway::layout
