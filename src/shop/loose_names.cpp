// Items by what a control's screen calls them: '#12', 'g54 x', K031, O0011.
#include <algorithm>
#include <set>
#include <utility>

#include "base/digit.hpp"
#include "keepway/machine.hpp"
#include "keepway/text.hpp"

namespace keepway {
namespace {

constexpr std::size_t longest_address = 200;

// In small letters of ASCII, without blanks, slashes, and zeros at the head of a number.
std::string loose(std::string_view text) {
  std::string out;
  bool in_number = false;
  bool parted = false;
  const std::string small = lower(in_ascii(std::string(text)));
  for (std::size_t i = 0; i < small.size(); ++i) {
    const char c = small[i];
    if (c == ' ' || c == '/' || c == '_') {
      in_number = false;
      parted = true;
      continue;
    }
    const bool more = i + 1 < small.size() && is_digit(small[i + 1]);
    if (c == '0' && !in_number && more) continue;
    // Two numbers stay two, and the digits behind a point are no number of their own.
    if (std::exchange(parted, false) && is_digit(c) && !out.empty() && is_digit(out.back())) out += ' ';
    in_number = is_digit(c) || (c == '.' && in_number);
    out += c;
  }
  return out;
}

bool ends_so(std::string_view address, std::string_view wanted) {
  for (std::size_t at = 0; at != std::string_view::npos; at = address.find('/', at)) {
    if (at > 0) ++at;
    if (loose(address.substr(at)) == wanted) return true;
  }
  return false;
}

}  // namespace

std::vector<Address> Machine::loosely_named(std::string_view text) const {
  while (text.starts_with(' ')) text.remove_prefix(1);
  const bool variable = text.starts_with('#');
  if (variable) text.remove_prefix(1);
  const std::string wanted = loose(text);
  std::vector<Address> found;
  if (wanted.empty() || wanted.size() > longest_address) return found;
  std::set<std::string> seen;
  visit_changes([&](std::size_t, const Address& item, const std::optional<std::string>&) {
    if (variable && item.group != Group::variables) return;
    const std::string address = item.text();
    if (address.size() > longest_address || !seen.insert(address).second) return;
    const bool program = item.group == Group::programs;
    const std::string_view stem = std::string_view(address).substr(0, address.rfind('.'));
    if (ends_so(address, wanted) || (program && ends_so(stem, wanted))) found.push_back(item);
  });
  std::sort(found.begin(), found.end(),
            [](const Address& a, const Address& b) { return natural_order(a.text(), b.text()) < 0; });
  return found;
}

}  // namespace keepway
