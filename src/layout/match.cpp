// File names against a source's patterns.
#include <algorithm>

#include "keepway/layout.hpp"

namespace keepway {
namespace {

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c;
}

// Pattern elements that stand for no byte of their own. Layouts hold no control bytes, so these are free.
constexpr char any_run = '\x01';   // * : any bytes but '/'
constexpr char any_byte = '\x02';  // ? : one byte but '/'

// Remembers only the last run, so the work is at most the product of the two lengths.
bool fits(std::string_view pattern, std::string_view name) {
  std::size_t p = 0;
  std::size_t n = 0;
  std::size_t run = std::string_view::npos;
  std::size_t resume = 0;
  while (n < name.size()) {
    if (p < pattern.size() && pattern[p] == any_run) {
      run = p++;
      resume = n;
    } else if (p < pattern.size() &&
               (pattern[p] == any_byte ? name[n] != '/' : lower(pattern[p]) == lower(name[n]))) {
      ++p;
      ++n;
    } else if (run != std::string_view::npos && name[resume] != '/') {
      p = run + 1;
      n = ++resume;
    } else {
      return false;
    }
  }
  while (p < pattern.size() && pattern[p] == any_run) ++p;
  return p == pattern.size();
}

struct Expanded {
  std::string pattern;
  bool has_serial = false;
};

Expanded expand(std::string_view pattern, std::string_view serial, bool any_serial) {
  constexpr std::string_view mark = "{serial}";
  Expanded out;
  for (std::size_t i = 0; i < pattern.size(); ++i) {
    if (pattern.substr(i, mark.size()) == mark) {
      out.has_serial = true;
      if (any_serial) {
        out.pattern += any_run;
      } else {
        out.pattern += serial;
      }
      i += mark.size() - 1;
    } else if (pattern[i] == '*') {
      out.pattern += any_run;
    } else if (pattern[i] == '?') {
      out.pattern += any_byte;
    } else {
      out.pattern += pattern[i];
    }
  }
  return out;
}

}  // namespace

NameMatch match_name(const Source& source, std::string_view name, std::string_view serial) {
  const std::string_view last = name.substr(name.rfind('/') + 1);  // npos + 1 is 0
  NameMatch best = NameMatch::no;
  for (const std::string& pattern : source.files) {
    const std::string_view against = pattern.find('/') == std::string::npos ? last : name;
    const bool unknown = serial.empty();  // a machine without a serial takes any
    const Expanded exact = expand(pattern, serial, unknown);
    if (fits(exact.pattern, against)) return NameMatch::yes;
    if (exact.has_serial && !unknown && fits(expand(pattern, serial, true).pattern, against)) {
      best = NameMatch::wrong_serial;
    }
  }
  return best;
}

bool has_folders(const Layout& layout) {
  return std::any_of(layout.sources.begin(), layout.sources.end(), [](const Source& source) {
    return std::any_of(source.files.begin(), source.files.end(),
                       [](const std::string& pattern) { return pattern.find('/') != std::string::npos; });
  });
}

}  // namespace keepway
