#include <algorithm>
#include <array>
#include <map>
#include <string_view>
#include <utility>

#include "base/encoding.hpp"
#include "keepway/text.hpp"

namespace keepway {
namespace {

constexpr auto plain_letters = std::to_array<std::pair<std::string_view, std::string_view>>(
    {{"ä", "ae"}, {"ö", "oe"}, {"ü", "ue"}, {"Ä", "Ae"}, {"Ö", "Oe"},   {"Ü", "Ue"}, {"ß", "ss"},
     {"é", "e"},  {"è", "e"},  {"ê", "e"},  {"É", "E"},  {"È", "E"},    {"à", "a"},  {"â", "a"},
     {"á", "a"},  {"À", "A"},  {"ç", "c"},  {"Ç", "C"},  {"î", "i"},    {"í", "i"},  {"ì", "i"},
     {"ô", "o"},  {"ó", "o"},  {"ò", "o"},  {"û", "u"},  {"ú", "u"},    {"ù", "u"},  {"ñ", "n"},
     {"Ñ", "N"},  {"å", "a"},  {"Å", "A"},  {"ø", "o"},  {"Ø", "O"},    {"æ", "ae"}, {"Æ", "Ae"},
     {"ã", "a"},  {"õ", "o"},  {"Ã", "A"},  {"Õ", "O"},  {"ą", "a"},    {"ć", "c"},  {"ę", "e"},
     {"ł", "l"},  {"ń", "n"},  {"ś", "s"},  {"ź", "z"},  {"ż", "z"},    {"Ą", "A"},  {"Ć", "C"},
     {"Ę", "E"},  {"Ł", "L"},  {"Ń", "N"},  {"Ś", "S"},  {"Ź", "Z"},    {"Ż", "Z"},  {"č", "c"},
     {"ď", "d"},  {"ě", "e"},  {"ň", "n"},  {"ř", "r"},  {"š", "s"},    {"ť", "t"},  {"ů", "u"},
     {"ý", "y"},  {"ž", "z"},  {"Č", "C"},  {"Ď", "D"},  {"Ě", "E"},    {"Ň", "N"},  {"Ř", "R"},
     {"Š", "S"},  {"Ť", "T"},  {"Ů", "U"},  {"Ý", "Y"},  {"Ž", "Z"},    {"ő", "o"},  {"ű", "u"},
     {"Ő", "O"},  {"Ű", "U"},  {"Á", "A"},  {"Í", "I"},  {"Ó", "O"},    {"Ú", "U"},  {"Â", "A"},
     {"Ê", "E"},  {"Ô", "O"},  {"Î", "I"},  {"Ë", "E"},  {"ë", "e"},    {"ï", "i"},  {"а", "a"},
     {"б", "b"},  {"в", "v"},  {"г", "g"},  {"д", "d"},  {"е", "e"},    {"ё", "e"},  {"ж", "zh"},
     {"з", "z"},  {"и", "i"},  {"й", "i"},  {"к", "k"},  {"л", "l"},    {"м", "m"},  {"н", "n"},
     {"о", "o"},  {"п", "p"},  {"р", "r"},  {"с", "s"},  {"т", "t"},    {"у", "u"},  {"ф", "f"},
     {"х", "kh"}, {"ц", "ts"}, {"ч", "ch"}, {"ш", "sh"}, {"щ", "shch"}, {"ъ", ""},   {"ы", "y"},
     {"ь", ""},   {"э", "e"},  {"ю", "yu"}, {"я", "ya"}, {"і", "i"},    {"ї", "i"},  {"є", "ye"},
     {"№", "No"}, {"А", "A"},  {"Б", "B"},  {"В", "V"},  {"Г", "G"},    {"Д", "D"},  {"Е", "E"},
     {"Ё", "E"},  {"Ж", "Zh"}, {"З", "Z"},  {"И", "I"},  {"Й", "I"},    {"К", "K"},  {"Л", "L"},
     {"М", "M"},  {"Н", "N"},  {"О", "O"},  {"П", "P"},  {"Р", "R"},    {"С", "S"},  {"Т", "T"},
     {"У", "U"},  {"Ф", "F"},  {"Х", "Kh"}, {"Ц", "Ts"}, {"Ч", "Ch"},   {"Ш", "Sh"}, {"Щ", "Shch"},
     {"Ъ", ""},   {"Ы", "Y"},  {"Ь", ""},   {"Э", "E"},  {"Ю", "Yu"},   {"Я", "Ya"}});

}  // namespace

std::string in_ascii(const std::string& utf8) {
  if (is_ascii(utf8)) return utf8;
  static const std::map<std::string_view, std::string_view> plain(plain_letters.begin(), plain_letters.end());
  std::string out;
  for (std::size_t at = 0; at < utf8.size();) {
    std::size_t end = at + 1;
    while (end < utf8.size() && (static_cast<unsigned char>(utf8[end]) & 0xC0U) == 0x80) ++end;
    const std::string_view letter = std::string_view(utf8).substr(at, end - at);
    const auto found = plain.find(letter);
    out += found == plain.end() ? letter : found->second;
    at = end;
  }
  return out;
}

}  // namespace keepway
