// Which character set 8-bit text is probably in: the one in which its bytes above 127 are letters of words.
#include <algorithm>
#include <array>
#include <set>
#include <span>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "reader/clean.hpp"
#include "reader/lines.hpp"
#include "survey/survey_parts.hpp"

namespace keepway::layout {
namespace {

// Letters of the larger European languages: a text has those of one. And the few signs that tables have.
constexpr std::string_view german = "äöüÄÖÜß";
constexpr std::string_view french = "éèêëàâçîïôûùüÉÈÊËÀÂÇÎÏÔÛÙ";
constexpr std::string_view spanish = "áéíóúüñÁÉÍÓÚÑ";
constexpr std::string_view italian = "àèéìòùÀÈÉÌÒÙ";
constexpr std::string_view portuguese = "ãõáéíóúâêôçàÃÕÁÉÍÓÚÂÊÔÇÀ";
constexpr std::string_view nordic = "åäöæøéÅÄÖÆØÉ";
constexpr std::string_view polish = "ąćęłńóśźżĄĆĘŁŃÓŚŹŻ";
constexpr std::string_view czech = "áčďéěíňóřšťúůýžäľĺŕôÁČĎÉĚÍŇÓŘŠŤÚŮÝŽ";
constexpr std::string_view hungarian = "áéíóöőúüűÁÉÍÓÖŐÚÜŰ";
constexpr std::array west = {german, french, spanish, italian, portuguese, nordic};
constexpr std::array east = {polish, czech, hungarian, german};
constexpr std::string_view other_signs = "°µ±²³½¼";  // which are in no word

// Cyrillic has no ASCII letters in its words, and each of its sets has letters at nearly all bytes: which are
// the usual ones tells them apart. By how often Russian has them.
constexpr std::string_view usual_cyrillic = "оеаинтсрвлкмдпуОЕАИНТСРВЛКМДПУ";
constexpr std::string_view other_cyrillic = "ябыьгзчйхжшюцщэфъёіїєґЯБЫЬГЗЧЙХЖШЮЦЩЭФЪЁІЇЄҐ";

std::size_t length_of(char lead) {
  const auto byte = static_cast<unsigned char>(lead);
  return byte >= 0xF0 ? 4 : byte >= 0xE0 ? 3 : byte >= 0xC0 ? 2 : 1;
}

bool is_lower_cyrillic(std::string_view character) {
  return std::string_view("абвгдеёжзийклмнопрстуфхцчшщъыьэюя").find(character) != std::string_view::npos;
}

// As worth() for Cyrillic: what is beside an ASCII letter, and a capital behind a small letter, speak against
// it.
long cyrillic_worth(std::string_view utf8) {
  long found = 0;
  bool small = false;  // the letter before is one
  for (std::size_t at = 0; at < utf8.size();) {
    const std::size_t length = length_of(utf8[at]);
    const std::string_view character = utf8.substr(at, length);
    const auto ascii_at = [&](std::size_t i) { return i < utf8.size() && is_letter(utf8[i]); };
    if (length == 1 && static_cast<unsigned char>(utf8[at]) < 0x80) {
      small = false;
      ++at;
      continue;
    }
    const bool usual = length > 1 && usual_cyrillic.find(character) != std::string_view::npos;
    const bool letter = usual || (length > 1 && other_cyrillic.find(character) != std::string_view::npos);
    const bool sign = length > 1 && std::string_view("№°").find(character) != std::string_view::npos;
    const bool capital = letter && !is_lower_cyrillic(character);
    found += usual ? 3 : letter || sign ? 1 : -4;
    if (letter && (ascii_at(at + length) || (at > 0 && ascii_at(at - 1)))) found -= 6;
    if (capital && small) found -= 4;
    small = letter && !capital;
    at += length;
  }
  return found;
}

// Chinese or Korean text: each run of bytes above 127 is of pairs (GB 2312 and KS X 1001, in their EUC form).
// Enough runs, which differ: a few Cyrillic words may be of even length, too. Empty for anything else.
std::string set_of_pairs(std::string_view text) {
  constexpr std::size_t fewest = 8;
  constexpr unsigned char lowest = 0xA1;
  std::set<std::string_view> runs;
  std::size_t hangul = 0;  // leads that KS X 1001 has syllables at
  std::size_t others = 0;
  for (std::size_t at = 0; at < text.size();) {
    if (static_cast<unsigned char>(text[at]) < 0x80) {
      ++at;
      continue;
    }
    const std::size_t begin = at;
    for (; at < text.size() && static_cast<unsigned char>(text[at]) >= 0x80; ++at) {
      const auto byte = static_cast<unsigned char>(text[at]);
      if (byte < lowest) return {};
      if ((at - begin) % 2 == 0 && byte >= 0xB0) ++(byte <= 0xC8 ? hangul : others);
    }
    if ((at - begin) % 2 != 0) return {};
    runs.insert(text.substr(begin, at - begin));
  }
  if (runs.size() < fewest) return {};
  const std::string name = others * 20 <= hangul ? "EUC-KR" : "GB2312";
  return Encoding("UTF-8").from_utf8(Encoding(name).to_utf8(text)) ? name : std::string();
}

// Characters above 127 of UTF-8 text that `letters` has, less those that it has not.
long worth(std::string_view utf8, std::string_view letters) {
  long found = 0;
  for (std::size_t at = 0; at < utf8.size();) {
    const auto lead = static_cast<unsigned char>(utf8[at]);
    if (lead < 0x80) {
      ++at;
      continue;
    }
    const std::size_t length = length_of(utf8[at]);
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

std::string encoding_of(std::string_view text, bool drawn) {
  constexpr std::size_t looked_at = 1 << 16;
  constexpr std::array western = {"ISO-8859-1", "CP850", "WINDOWS-1252"};
  constexpr std::array eastern = {"ISO-8859-2", "CP852", "WINDOWS-1250"};
  constexpr std::array cyrillic_sets = {"WINDOWS-1251", "CP866", "KOI8-R", "ISO-8859-5"};
  text = text.substr(0, looked_at);
  const auto high = [](char c) { return static_cast<unsigned char>(c) >= 0x80; };
  if (std::none_of(text.begin(), text.end(), high)) return {};
  if (Encoding("UTF-8").from_utf8(text)) return {};
  if (reader::find_parity(text).carried) return {};
  if (std::string pairs = set_of_pairs(text); !pairs.empty()) return pairs;
  std::string best;
  long most = 0;
  const auto sets_of = [drawn](std::span<const char* const> all) {
    return drawn ? all.subspan(1, 1) : all;  // the code page, which alone draws
  };
  const auto try_with = [&](const auto& sets, const auto& languages) {
    for (const char* const name : sets_of(sets)) {
      const std::string utf8 = Encoding(name).to_utf8(text);
      for (const std::string_view letters : languages) {
        const long found = worth(utf8, letters);
        if (found <= most) continue;
        most = found;
        best = name;
      }
    }
  };
  try_with(western, west);
  try_with(eastern, east);
  for (const char* const name : sets_of(cyrillic_sets)) {
    const long found = cyrillic_worth(Encoding(name).to_utf8(text));
    if (found <= most) continue;
    most = found;
    best = name;
  }
  return best;
}

std::string common_encoding(const std::vector<OriginalView>& texts, bool drawn) {
  constexpr std::size_t most = 1 << 16;
  std::string all;
  for (const OriginalView& sample : texts) {
    if (encoding_of(sample.bytes).empty()) continue;
    reader::Lines lines(sample.bytes);
    for (reader::Line line; lines.next(line) && all.size() < most;) {
      const auto high = [](char c) { return static_cast<unsigned char>(c) >= 0x80; };
      if (std::any_of(line.text.begin(), line.text.end(), high)) (all += line.text) += '\n';
    }
  }
  return encoding_of(all, drawn);
}

}  // namespace keepway::layout
