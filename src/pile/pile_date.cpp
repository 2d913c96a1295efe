// Dates as people write them in the names of folders and files.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/digit.hpp"
#include "keepway/pile.hpp"
#include "keepway/time.hpp"

namespace keepway {
namespace {

constexpr std::size_t max_tokens = 256;

struct Token {
  bool number = false;
  std::string_view text;
  std::string_view gap;  // what comes before it

  [[nodiscard]] std::size_t size() const { return text.size(); }
};

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c;
}
// Bytes of accented letters count as letters, in UTF-8 as in older code pages.
bool letter(char c) {
  return (lower(c) >= 'a' && lower(c) <= 'z') || static_cast<unsigned char>(c) >= 0x80;
}

// In lower case without accents: UTF-8 of Latin-1 and of the letters in Polish months (ń ś ź), and Latin-1
// itself.
std::string plain(std::string_view text) {
  static constexpr std::string_view latin =
      "aaaaaaaceeeeiiiidnooooo/ouuuuyts";  // from U+00C0 and from U+00E0
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    const auto next = i + 1 < text.size() ? static_cast<unsigned char>(text[i + 1]) : 0U;
    if (byte < 0x80) {
      out += lower(text[i]);
    } else if (byte == 0xC3 && next >= 0x80 && next < 0xC0) {
      out += latin[next & 0x1FU];
      ++i;
    } else if (byte == 0xC5 && (next == 0x83 || next == 0x84)) {
      out += 'n';
      ++i;
    } else if (byte == 0xC5 && next >= 0xB9 && next <= 0xBC) {
      out += 'z';
      ++i;
    } else if (byte == 0xC5 && (next == 0x9A || next == 0x9B)) {
      out += 's';
      ++i;
    } else if (byte >= 0xC0) {
      out += latin[byte & 0x1FU];
    } else {
      out += '?';
    }
  }
  return out;
}

std::vector<Token> tokens_of(std::string_view name) {
  std::vector<Token> tokens;
  std::size_t at = 0;
  while (at < name.size()) {
    const std::size_t gap = at;
    while (at < name.size() && !is_digit(name[at]) && !letter(name[at])) ++at;
    const std::size_t begin = at;
    if (at == name.size()) break;
    const bool number = is_digit(name[at]);
    while (at < name.size() && (number ? is_digit(name[at]) : letter(name[at]))) ++at;
    tokens.push_back({number, name.substr(begin, at - begin), name.substr(gap, begin - gap)});
  }
  // The last part of a long name is what tells.
  if (tokens.size() > max_tokens) tokens.erase(tokens.begin(), tokens.end() - max_tokens);
  return tokens;
}

int value(std::string_view digits) {
  int sum = 0;
  for (const char c : digits) sum = sum * 10 + (c - '0');
  return sum;
}

// Names of the months beside the English ones, without marks. Short forms that are everyday words of another
// language (set, out, lis) are left out.
constexpr std::array<std::string_view, 12> more_names = {
    " januar janvier januari enero ene gennaio gen janeiro styczen ",
    " februar fevrier fevr februari febrero febbraio fevereiro luty ",
    " marz maerz mrz mars maart mrt marzo marco marzec ",
    " avril avr abril abr aprile kwiecien ",
    " mai mei mayo maggio mag maio maj ",
    " juni juin junio giugno giu junho czerwiec ",
    " juli juillet juil julio luglio lug julho lipiec ",
    " aout augustus agosto ago sierpien ",
    " septembre septiembre settembre setembro wrzesien ",
    " oktober okt octobre octubre ottobre ott outubro pazdziernik ",
    " novembre noviembre novembro listopad ",
    " dezember dez decembre diciembre dic dicembre dezembro grudzien "};

// 1 to 12; 0 when it is no month.
int month_named(std::string_view text) {
  static constexpr std::array<std::string_view, 12> names = {"january",   "february", "march",    "april",
                                                             "may",       "june",     "july",     "august",
                                                             "september", "october",  "november", "december"};
  const std::string small = plain(text);
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (small == names[i] || small == names[i].substr(0, 3) || (i == 8 && small == "sept") ||
        more_names[i].find(" " + small + " ") != std::string_view::npos)
      return static_cast<int>(i) + 1;
  }
  return 0;
}

std::optional<DateSpan> day(int year, int month, int number) {
  const auto from = day_start(year, month, number);
  if (!from || year < 1975 || year > 2099) return std::nullopt;
  return DateSpan{*from, next_day(*from)};
}

std::optional<DateSpan> whole_month(int year, int month) {
  const auto first = day(year, month, 1);
  const auto next = month == 12 ? day(year + 1, 1, 1) : day(year, month + 1, 1);
  if (!first || !next) return std::nullopt;
  return DateSpan{first->from, next->from};
}

// A found date, and the token behind it.
struct Found {
  NameDate date;
  std::size_t end = 0;
  bool year_only = false;
};

void put(std::vector<DateSpan>& spans, const std::optional<DateSpan>& span) {
  if (span) spans.push_back(*span);
}

std::optional<Found> found(std::vector<DateSpan> day_first, std::vector<DateSpan> month_first, bool weak,
                           std::size_t end) {
  if (day_first.empty() && month_first.empty()) return std::nullopt;
  return Found{{std::move(day_first), std::move(month_first), false, false, weak}, end};
}
std::optional<Found> found(const std::optional<DateSpan>& span, std::size_t end) {
  if (!span) return std::nullopt;
  return found({*span}, {*span}, false, end);
}

class Names {
 public:
  explicit Names(std::string_view name) : tokens_(tokens_of(name)) {}

  // The last date with nothing joined to it, else the last guess, else the last year.
  std::optional<NameDate> last() const {
    std::optional<NameDate> best;
    bool best_is_year = false;
    for (std::size_t at = 0; at < tokens_.size();) {
      auto here = date_at(at);
      if (!here) {
        ++at;
        continue;
      }
      add_time(*here);
      at = std::max(here->end, at + 1);
      if (best && (here->year_only ? !best_is_year : !best->weak && here->date.weak)) continue;
      best_is_year = here->year_only;
      best = std::move(here->date);
    }
    return best;
  }

 private:
  // A number of that many digits at most, close behind what is before it.
  [[nodiscard]] bool number(std::size_t at, std::size_t least, std::size_t most, bool first = false) const {
    return at < tokens_.size() && tokens_[at].number && tokens_[at].size() >= least &&
           tokens_[at].size() <= most && (first || close(at));
  }
  [[nodiscard]] bool close(std::size_t at) const {
    const std::string_view gap = tokens_[at].gap;
    return gap.size() <= 1 ? gap.empty() || std::string_view("-_. /,").find(gap[0]) != std::string_view::npos
                           : gap == ", " || gap == ". " || gap == " - ";
  }
  [[nodiscard]] int month(std::size_t at, bool first = false) const {
    return at < tokens_.size() && !tokens_[at].number && (first || close(at)) ? month_named(tokens_[at].text)
                                                                              : 0;
  }
  [[nodiscard]] int value_at(std::size_t at) const { return value(tokens_[at].text); }
  [[nodiscard]] int year_at(std::size_t at) const {
    const int year = value_at(at);
    return tokens_[at].size() == 4 ? year : whole_year(year);
  }

  [[nodiscard]] std::optional<Found> date_at(std::size_t at) const {
    if (auto in_a_row = digits_at(at)) return in_a_row;
    if (auto named = named_at(at)) return named;
    if (number(at, 4, 4, true) && number(at + 1, 1, 2)) {
      const bool points = number(at + 2, 1, 2) && tokens_[at + 1].gap == "/" && tokens_[at + 2].gap == ".";
      if (number(at + 2, 1, 2) && !points) {
        if (auto date = found(day(value_at(at), value_at(at + 1), value_at(at + 2)), at + 3)) return date;
      }
      // A year's folder, and in it a day: 2021/25.06, 2021/25-06.
      if (number(at + 2, 1, 2) && tokens_[at + 1].gap == "/") {
        if (auto date = in_both_orders(value_at(at + 1), value_at(at + 2), value_at(at), at + 3)) return date;
      }
      if (tokens_[at + 1].size() == 2) return found(whole_month(value_at(at), value_at(at + 1)), at + 2);
    }
    if (number(at, 1, 2, true) && number(at + 1, 1, 2) && number(at + 2, 4, 4)) {
      return in_both_orders(value_at(at), value_at(at + 1), value_at(at + 2), at + 3);
    }
    // 06.2021, where that is not the end of a longer number with points.
    if (number(at, 2, 2, true) && number(at + 1, 4, 4) &&
        std::string_view(".-").find(tokens_[at + 1].gap) <= 1 && !tokens_[at + 1].gap.empty() &&
        (at == 0 || tokens_[at].gap != "."))
      return found(whole_month(value_at(at + 1), value_at(at)), at + 2);
    if (number(at, 2, 2, true) && number(at + 1, 2, 2) && number(at + 2, 2, 2)) {
      return guess(value_at(at), value_at(at + 1), value_at(at + 2), at + 3);
    }
    return year(at);
  }

  // Whether a token belongs to no number or word before it; a folder's name always does not.
  [[nodiscard]] bool apart(std::size_t at) const {
    if (at == 0 || at >= tokens_.size() || tokens_[at].gap == "/") return true;
    const bool both_numbers = tokens_[at].number && tokens_[at - 1].number;
    return !tokens_[at].gap.empty() && !(both_numbers && close(at));
  }

  // 2021 alone: as likely a number of something, so that it is a guess.
  [[nodiscard]] std::optional<Found> year(std::size_t at) const {
    if (!number(at, 4, 4, true) || !apart(at) || !apart(at + 1)) return std::nullopt;
    const auto first = day(value_at(at), 1, 1);
    const auto next = day(value_at(at) + 1, 1, 1);
    if (!first || !next) return std::nullopt;
    const DateSpan whole{first->from, next->from};
    auto date = found({whole}, {whole}, true, at + 1);
    date->year_only = true;
    return date;
  }

  // 20190312, 201903120730, 20190312073000, and the guess 190312.
  [[nodiscard]] std::optional<Found> digits_at(std::size_t at) const {
    const Token& token = tokens_[at];
    if (!token.number) return std::nullopt;
    const auto part = [&](std::size_t from, std::size_t count) {
      return value(token.text.substr(from, count));
    };
    if (token.size() == 6) return guess(part(0, 2), part(2, 2), part(4, 2), at + 1);
    if (token.size() != 8 && token.size() != 12 && token.size() != 14) return std::nullopt;
    auto span = day(part(0, 4), part(4, 2), part(6, 2));
    if (span && token.size() > 8)
      narrow(*span, part(8, 2), part(10, 2), token.size() == 14 ? part(12, 2) : -1);
    return found(span, at + 1);
  }

  // 12 Mar 2019, Mar 12 2019, 2019 Mar 12, Mar 2019, 2019 Mar.
  [[nodiscard]] std::optional<Found> named_at(std::size_t at) const {
    if (number(at, 1, 2, true) && month(at + 1) != 0 && (number(at + 2, 4, 4) || number(at + 2, 2, 2)))
      return found(day(year_at(at + 2), month(at + 1), value_at(at)), at + 3);
    if (number(at, 4, 4, true) && number(at + 1, 1, 2) && tokens_[at + 1].gap == "/" && month(at + 2) != 0 &&
        !number(at + 3, 2, 4))
      return found(day(value_at(at), month(at + 2), value_at(at + 1)), at + 3);
    if (number(at, 4, 4, true) && month(at + 1) != 0) {
      if (number(at + 2, 1, 2)) {
        if (auto date = found(day(value_at(at), month(at + 1), value_at(at + 2)), at + 3)) return date;
      }
      return found(whole_month(value_at(at), month(at + 1)), at + 2);
    }
    if (const int first = month(at, true); first != 0) {
      if (number(at + 1, 1, 2) && number(at + 2, 4, 4))
        return found(day(value_at(at + 2), first, value_at(at + 1)), at + 3);
      if (number(at + 1, 4, 4)) return found(whole_month(value_at(at + 1), first), at + 2);
    }
    return std::nullopt;
  }

  [[nodiscard]] static std::optional<Found> in_both_orders(int first, int second, int year, std::size_t end) {
    std::vector<DateSpan> day_first;
    std::vector<DateSpan> month_first;
    put(day_first, day(year, second, first));
    put(month_first, day(year, first, second));
    const bool only_day_first = month_first.empty();
    const bool only_month_first = day_first.empty();
    if (only_day_first) month_first = day_first;
    if (only_month_first) day_first = month_first;
    auto both = found(std::move(day_first), std::move(month_first), false, end);
    if (!both) return both;
    both->date.shows_day_first = only_day_first;
    both->date.shows_month_first = only_month_first;
    return both;
  }

  // Three numbers of two digits: year first, or last.
  [[nodiscard]] static std::optional<Found> guess(int a, int b, int c, std::size_t end) {
    std::vector<DateSpan> day_first;
    std::vector<DateSpan> month_first;
    for (std::vector<DateSpan>* spans : {&day_first, &month_first}) put(*spans, day(whole_year(a), b, c));
    put(day_first, day(whole_year(c), b, a));
    put(month_first, day(whole_year(c), a, b));
    return found(std::move(day_first), std::move(month_first), true, end);
  }

  static void narrow(DateSpan& span, int hours, int minutes, int seconds) {
    if (!span.is_day() || hours > 23 || minutes > 59 || seconds > 59) return;
    WallTime time = wall_time(span.from);
    time.hour = hours;
    time.minute = minutes;
    time.second = std::max(seconds, 0);
    span.from = at_wall_time(time).value_or(span.from);
    span.until = span.from + (seconds < 0 ? 60 : 1);
  }

  // A time of day behind the date: 0730, 073000, 07-30, 07.30.00, T07:30, 7h30.
  void add_time(Found& here) const {
    std::size_t at = here.end;
    const auto is_letter = [&](std::size_t i, char c) {
      return i < tokens_.size() && tokens_[i].size() == 1 && lower(tokens_[i].text[0]) == c;
    };
    if (is_letter(at, 't')) ++at;
    if (at >= tokens_.size() || !tokens_[at].number || tokens_[at].gap.size() > 3 || tokens_[at].gap == "/")
      return;
    int hours = -1;
    int minutes = -1;
    int seconds = -1;
    const Token& token = tokens_[at];
    std::size_t end = at + 1;
    if (token.size() == 4 || token.size() == 6) {
      hours = value(token.text.substr(0, 2));
      minutes = value(token.text.substr(2, 2));
      if (token.size() == 6) seconds = value(token.text.substr(4, 2));
    } else if (token.size() <= 2) {
      if (is_letter(end, 'h')) ++end;
      if (end >= tokens_.size() || !tokens_[end].number || tokens_[end].size() != 2 ||
          tokens_[end].gap.size() > 1)
        return;
      hours = value(token.text);
      minutes = value_at(end++);
      if (end < tokens_.size() && tokens_[end].number && tokens_[end].size() == 2 &&
          tokens_[end].gap == tokens_[end - 1].gap)
        seconds = value_at(end++);
    }
    if (hours < 0 || hours > 23 || minutes > 59 || seconds > 59) return;
    // Behind digits, letters are the rest of something else: 0639fe9c.
    if (end < tokens_.size() && tokens_[end].gap.empty() && !is_letter(end, 'z') && !is_letter(end, 'h'))
      return;
    for (std::vector<DateSpan>* spans : {&here.date.day_first, &here.date.month_first}) {
      for (DateSpan& span : *spans) narrow(span, hours, minutes, seconds);
    }
    here.end = end;
  }

  std::vector<Token> tokens_;
};

}  // namespace

std::optional<NameDate> date_in_name(std::string_view name) {
  return Names(name).last();
}

std::string readings_text(const NameDate& date) {
  std::vector<std::string> texts;
  for (const std::vector<DateSpan>* spans : {&date.day_first, &date.month_first}) {
    for (const DateSpan& span : *spans) {
      const std::int64_t days = (span.until - span.from) / day_seconds;
      std::string text = format_time(span.from).substr(0, days > 31 ? 4 : days > 1 ? 7 : 10);
      if (std::find(texts.begin(), texts.end(), text) == texts.end()) texts.push_back(std::move(text));
    }
  }
  return fmt::format("{}", fmt::join(texts, " or "));
}

namespace {

template <class Is>
bool all_readings(const NameDate& date, const Is& is) {
  return std::all_of(date.day_first.begin(), date.day_first.end(), is) &&
         std::all_of(date.month_first.begin(), date.month_first.end(), is);
}

}  // namespace

bool is_of_another_year(const NameDate& date, std::int64_t at) {
  const std::string year = format_time(at).substr(0, 4);
  return all_readings(date,
                      [&](const DateSpan& span) { return format_time(span.from).substr(0, 4) != year; });
}

bool is_of_another_time(const NameDate& date, std::int64_t at) {
  constexpr std::int64_t three_days = std::int64_t{3} * 86'400;
  return all_readings(date, [&](const DateSpan& span) {
    return at < span.from - three_days || at >= span.until + three_days;
  });
}

}  // namespace keepway
