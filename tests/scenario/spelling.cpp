#include "spelling.hpp"

#include <bit>
#include <cctype>

namespace scenario {

std::string Spelling::number(const std::string& canonical) {
  const bool minus = canonical[0] == '-';
  std::string digits = minus ? canonical.substr(1) : canonical;
  const bool point = digits.find('.') != std::string::npos;
  if (point && digits[0] == '0' && random.once_in(2)) digits.erase(0, 1);
  if (!point && !point_counts && random.once_in(2)) digits += '.';
  if (digits.find('.') != std::string::npos) digits += std::string(random.below(4), '0');
  if (digits == ".") digits = "0.";
  digits.insert(0, std::string(random.below(3), '0'));
  if (minus) return "-" + digits;
  return (random.once_in(4) ? "+" : "") + digits;
}

std::string Spelling::blanks(std::size_t least) {
  std::string out;
  const std::size_t count = least + random.below(3);
  while (out.size() < count) out += random.once_in(3) ? '\t' : ' ';
  return out;
}

std::string Spelling::cased(const std::string& text) {
  std::string out = text;
  for (char& c : out) {
    if (random.once_in(2)) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  return out;
}

std::string Spelling::lines(const std::vector<std::string>& rows, bool blank_lines) {
  const std::string end = random.of(std::vector<std::string>{"\n", "\r\n", "\r", "\n\r"});
  std::string out;
  for (const std::string& row : rows) {
    if (blank_lines && random.once_in(4)) out += blanks() + end;
    out += row + (random.once_in(3) ? blanks() : "") + end;
  }
  if (random.once_in(4)) out.resize(out.size() - end.size());
  return out;
}

std::string Spelling::wire(const std::string& text) {
  if (!random.once_in(3)) return text;
  std::string out = text;
  if (random.once_in(2))
    out = std::string(1 + random.below(40), '\0') + out + std::string(random.below(20), '\0');
  if (random.once_in(2)) {
    for (char& c : out) {
      const auto byte = static_cast<unsigned char>(c);
      if (std::popcount(byte) % 2 == 1) c = static_cast<char>(byte | 0x80U);
    }
    if (random.once_in(2)) out.insert(0, std::string(1 + random.below(9), '\xff'));  // DEL with its parity
  }
  return out;
}

std::string Spelling::block(const std::vector<std::string>& words) {
  std::vector<std::string> mixed = words;
  if (words.size() > 1 && words[0][0] != 'O') random.shuffle(mixed);
  std::string out = blanks();
  for (const std::string& word : mixed) {
    out += word[0] == '(' ? word : cased(word.substr(0, 1)) + blanks() + number(word.substr(1));
    out += blanks();
  }
  return out;
}

}  // namespace scenario
