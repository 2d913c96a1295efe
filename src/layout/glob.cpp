#include "layout/glob.hpp"

namespace keepway::layout {
namespace {

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c;
}
bool is_gap(char c) {
  return c == ' ' || c == '\t';
}

std::string_view trim(std::string_view text) {
  while (!text.empty() && is_gap(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_gap(text.back())) text.remove_suffix(1);
  return text;
}

}  // namespace

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

// Remembers only the last run, so the work is at most the product of the two lengths.
bool glob_fits(std::string_view expanded, std::string_view text, char stop) {
  const auto stops = [stop](char c) { return stop != '\0' && c == stop; };
  std::size_t p = 0;
  std::size_t n = 0;
  std::size_t run = std::string_view::npos;
  std::size_t resume = 0;
  while (n < text.size()) {
    const char wanted = p < expanded.size() ? expanded[p] : '\0';
    if (wanted == any_run) {
      run = p++;
      resume = n;
    } else if (wanted == any_gap && is_gap(text[n])) {
      ++p;
      while (n < text.size() && is_gap(text[n])) ++n;
    } else if (p < expanded.size() &&
               (wanted == any_byte ? !stops(text[n]) : lower(wanted) == lower(text[n]))) {
      ++p;
      ++n;
    } else if (run != std::string_view::npos && !stops(text[resume])) {
      p = run + 1;
      n = ++resume;
    } else {
      return false;
    }
  }
  while (p < expanded.size() && expanded[p] == any_run) ++p;
  return p == expanded.size();
}

LinePattern::LinePattern(std::string_view pattern, std::string_view serial, bool any_serial) {
  for (const char c : expand(trim(pattern), serial, any_serial || serial.empty()).pattern) {
    if (!is_gap(c)) {
      expanded_ += c;
    } else if (expanded_.empty() || expanded_.back() != any_gap) {
      expanded_ += any_gap;
    }
  }
}

bool LinePattern::fits(std::string_view line) const {
  return glob_fits(expanded_, trim(line), '\0');
}

}  // namespace keepway::layout
