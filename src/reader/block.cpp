#include "reader/block.hpp"

#include <algorithm>
#include <cstring>

#include "base/digit.hpp"
#include "reader/block_order.hpp"
#include "reader/text.hpp"

namespace keepway::reader {
namespace {

// Room for most lines; longer ones make more. Files are many and small, so this must not cost much.
constexpr std::size_t first_room = 1024;

// A code's number in thousandths, "59.1" -> 59100; no_number when it is not a small number.
std::uint64_t code_number(const char* text, const char* end) {
  std::uint64_t value = 0;
  const char* in = text;
  for (; in != end && is_digit(*in); ++in) {
    if (in - text == 6) return no_number;
    value = value * 10 + static_cast<std::uint64_t>(*in - '0');
  }
  if (in == text) return no_number;
  unsigned places = 0;
  if (in != end && *in == '.') {
    for (++in; in != end && is_digit(*in); ++in, ++places) {
      if (places == 3) return no_number;
      value = value * 10 + static_cast<std::uint64_t>(*in - '0');
    }
  }
  if (in != end) return no_number;
  for (; places < 3; ++places) value *= 10;
  return value;
}

// Text of a line that cannot be read. Tabs become blanks, which read the same: an escape would not. Text that
// is escaped already stays, so that it reads to itself.
void append_unread(std::string_view line, std::string& out) {
  std::string text(line);
  std::replace(text.begin(), text.end(), '\t', ' ');
  const auto bytes = text.find('\\') == std::string::npos ? std::nullopt : unescape(text);
  out += bytes && escape(*bytes) == text ? text : escape(text);
}

}  // namespace

BlockReader::BlockReader(const Source& source) : point_(source.point), flow_words_(source.flow) {
  make_room(first_room);
  for (const std::string& word : source.calls) {
    call_words_.emplace_back(word[0], code_number(word.data() + 1, word.data() + word.size()));
  }
  for (const std::string& opener : source.comments) {
    if (opener.size() == 1 && opener != "(") line_comment_[static_cast<unsigned char>(opener[0])] = true;
  }
  if (!source.increment && source.increment_of.empty()) return;
  for (const Units units : {Units::inch, Units::mm}) {
    for (char letter = 'A'; letter <= 'Z'; ++letter) {
      if (const Decimal* increment = word_increment(source, units, letter))
        set_scale(units, letter, *increment);
    }
  }
}

void BlockReader::set_scale(Units units, char letter, const Decimal& increment) {
  const std::string text = increment.text();
  const bool decimal =
      text == "1" ||
      (text.starts_with("0.") && text.find_first_not_of('0', 2) == text.size() - 1 && text.back() == '1');
  const auto known = known_scales_.try_emplace(text, Scale{decimal, increment.places(), increment}).first;
  scales_[static_cast<std::size_t>(units)][static_cast<unsigned char>(letter)] = &known->second;
  scaling_ = true;
}

// G, M, N and O words name a code, a block or a program: those are no values that could count in anything.
Point BlockReader::point_of(char letter) const {
  return letter == 'G' || letter == 'M' || letter == 'N' || letter == 'O' ? Point::free : point_;
}

void BlockReader::make_room(std::size_t line_bytes) {
  room_ = line_bytes;
  // Nothing but a number in increments grows more than threefold (a blank before a word, a 0 before a point,
  // …).
  buffer_ = std::make_unique_for_overwrite<char[]>(4 * room_ + 2 * number_room);
  tokens_ = std::make_unique_for_overwrite<Token[]>(room_ / 2 + 2);
}

void BlockReader::clear(const char* line) {
  line_ = line;
  end_ = buffer_.get();
  count_ = 0;
  last_key_ = 0;
  ordered_ = comments_only_ = true;
  ends_ = dwells_ = calls_here_ = calls_m98_ = false;
  new_units_.reset();
  p_words_.clear();
}

BlockReader::Result BlockReader::read_either(std::string_view line, const Scales* scales) {
  if (line.size() > max_block_bytes) return Result::failed;
  if (line.size() > room_) make_room(std::min(max_block_bytes, 2 * line.size()));
  for (;;) {
    out_of_room_ = false;
    Result result = read_words(line, scales);
    if (result == Result::flow && !out_of_room_ && !read_flow(line, scales)) result = Result::failed;
    if (!out_of_room_ && result == Result::flow && commented_) {
      const bool stable = reads_back();
      read_flow(line, scales);  // what is known of the line again
      return stable ? result : Result::failed;
    }
    if (!out_of_room_) return result;
    if (room_ == max_block_bytes) return Result::failed;
    make_room(std::min(max_block_bytes, 2 * room_));
  }
}

BlockKind BlockReader::read(std::string_view line, Units& units, std::string& out) {
  calls_.clear();
  line = trim(line);
  const auto scales_for = [&](Units of) { return &scales_[static_cast<std::size_t>(of)]; };
  Result result = read_either(line, scaling_ ? scales_for(units) : nullptr);
  // Where on the line a unit or dwell word is means nothing: it bears on all of the line's words.
  if (scaling_ && (new_units_ || dwells_)) {
    const Units in_force = new_units_.value_or(units);
    result = read_either(line, dwells_ ? nullptr : scales_for(in_force));
  }
  flow_ = result == Result::flow;
  if (result == Result::empty) return BlockKind::blank;
  const auto length = static_cast<std::size_t>(end_ - buffer_.get());
  if (result == Result::failed || length > max_block_bytes) {
    clear(line.data());
    append_unread(line, out);
    out += '\n';
    return BlockKind::unread;
  }
  if (new_units_) units = *new_units_;
  if (calls_here_) note_calls();
  if (result == Result::flow || ordered_) {
    out.append(buffer_.get(), length);
  } else {
    append_words(out);
  }
  out += '\n';
  return comments_only_ ? BlockKind::comment : BlockKind::words;
}

// Takes a comment at `in`, or nothing; false when one is not closed.
bool BlockReader::read_comment(const char*& in, const char* end, std::string_view& comment) const {
  if (*in == '(') {
    const auto* close = static_cast<const char*>(std::memchr(in, ')', static_cast<std::size_t>(end - in)));
    if (close == nullptr) return false;
    comment = {in, static_cast<std::size_t>(close + 1 - in)};
    in = close + 1;
    // "Not nested" (NISTIR 6556, 3.3.4).
    return comment.find('(', 1) == std::string_view::npos;
  }
  if (line_comment_[static_cast<unsigned char>(*in)]) {
    comment = {in, static_cast<std::size_t>(end - in)};
    in = end;
    return true;
  }
  // The mark of a block's end that some listings show; nothing may follow it (common practice, no source).
  if (*in == ';' && skip_blanks(in + 1) >= end) {
    comment = {};
    in = end;
    return true;
  }
  return false;
}

// Notes what a G or M word says, and gives its number for the order of words.
std::uint64_t BlockReader::note_code(char letter, const char* text, const char* end) {
  const std::uint64_t number = code_number(text, end);
  if (letter == 'M') {
    if (number == 2000 || number == 30000 || number == 99000) ends_ = true;
    if (number == 98000) calls_m98_ = true;
  } else if (number == 20000) {
    new_units_ = Units::inch;
  } else if (number == 21000) {
    new_units_ = Units::mm;
  } else if (number == 4000) {
    dwells_ = true;
  }
  for (const auto& word : call_words_) calls_here_ |= word == std::pair(letter, number);
  return number;
}

void BlockReader::note_calls() {
  for (const Word& word : p_words_) {
    std::string_view digits(word.text, static_cast<std::size_t>(word.text_end - word.text));
    if (digits.ends_with('.')) digits.remove_suffix(1);
    if (!all_digits(digits)) continue;
    Call call;
    call.name = program_name(digits);
    if (calls_m98_ && digits.size() > 4) call.without_count = program_name(digits.substr(digits.size() - 4));
    call.at = static_cast<std::size_t>(word.raw - line_);
    call.length = trim({word.raw, static_cast<std::size_t>(word.raw_end - word.raw)}).size();
    calls_.push_back(std::move(call));
  }
}

// The value behind a word's letter; the exact one where its least increment is known.
Cursor BlockReader::read_word_value(Cursor c, char letter, const Scales* scales) {
  if (letter == 'O' && *c.in == '<') return read_name(c);
  const Scale* scale = scales == nullptr ? nullptr : (*scales)[static_cast<unsigned char>(letter)];
  if (scale == nullptr) return read_value(c, false, point_of(letter));
  char* start = c.out;
  c = read_value(c, false, Point::counts);
  if (c.failed()) return c;
  const std::string_view number(start, static_cast<std::size_t>(c.out - start));
  if (!all_digits(number.substr(number.starts_with('-') ? 1 : 0)) || number == "0") return c;
  if (static_cast<std::size_t>(c.out - buffer_.get()) > room_) {
    out_of_room_ = true;
    return {};
  }
  std::string scaled(number);
  if (scale->decimal) {
    const std::size_t sign = scaled[0] == '-' ? 1 : 0;
    if (scaled.size() - sign <= scale->places)
      scaled.insert(sign, scale->places + 1 - (scaled.size() - sign), '0');
    scaled.insert(scaled.size() - scale->places, 1, '.');
    scaled = canonical_number(scaled).value_or("");
  } else {
    const auto value = Decimal::parse(scaled);
    scaled = value ? (*value * scale->factor).text() : "";
  }
  if (scaled.empty() || scaled.size() >= number_room) return {};
  if (scaled.find('.') == std::string::npos) scaled += '.';
  c.out = std::copy(scaled.begin(), scaled.end(), start);
  return c;
}

// The token from `begin` on is whole. Words and comments that come in the order of the normal form, which
// most do, need no sorting.
void BlockReader::end_token(const char* begin, const char* end, std::uint64_t rank, std::uint64_t number) {
  const std::uint64_t key = rank << rank_shift | number << number_shift | count_;
  ordered_ &= key > last_key_;
  last_key_ = key;
  tokens_[count_++] = {key, static_cast<std::uint32_t>(begin - buffer_.get()),
                       static_cast<std::uint32_t>(end - begin)};
  if (rank != rank_comment) comments_only_ = false;
}

// A letter and its value. A colon is the O of a program's number, where it is the first word.
bool BlockReader::read_letter(Cursor& c, const Scales* scales) {
  const char letter = *c.in == ':' ? 'O' : upper(*c.in);
  const char* const raw = c.in;
  char* const begin = c.out;
  *c.out++ = letter;
  c.in = skip_blanks(c.in + 1);
  c = is_digit(*c.in) && scales == nullptr ? read_number(c, point_of(letter))
                                           : read_word_value(c, letter, scales);
  if (c.failed()) return false;
  std::uint64_t number = 0;
  std::uint64_t rank = rank_of(letter);
  switch (letter) {
    case 'G':
    case 'M':
      number = note_code(letter, begin + 1, c.out);
      break;
    case 'P':
      p_words_.push_back({letter, begin + 1, c.out, raw, c.in});
      break;
    case 'O':
      rank = comments_only_ ? rank_first_o : rank_late_o;
      break;
    default:
      break;
  }
  end_token(begin, c.out, rank, number);
  return true;
}

// A parameter that is given a value: `#3=15`, `#<width>=1.5`.
bool BlockReader::read_setting(Cursor& c) {
  char* const begin = c.out;
  *c.out++ = '#';
  char* const parameter = c.out;
  c.in = skip_blanks(c.in + 1);
  c = *c.in == '<' ? read_name(c) : read_operand(c, Point::free);
  if (c.failed()) return false;
  const std::uint64_t number = code_number(parameter, c.out);
  c.in = skip_blanks(c.in);
  if (*c.in != '=') return false;
  *c.out++ = '=';
  c = read_value({c.in + 1, c.out}, true, point_);
  if (c.failed()) return false;
  end_token(begin, c.out, rank_setting, number);
  return true;
}

// The stroke before a block that may be skipped, and its number.
bool BlockReader::read_skip(Cursor& c) {
  char* const begin = c.out;
  *c.out++ = '/';
  c.in = skip_blanks(c.in + 1);
  if (is_digit(*c.in)) c = read_number(c, Point::free);
  if (c.failed()) return false;
  end_token(begin, c.out, rank_skip, 0);
  return true;
}

// A word behind a comma: `,R2.`.
bool BlockReader::read_comma_word(Cursor& c, const Scales* scales) {
  char* const begin = c.out;
  *c.out++ = ',';
  c.in = skip_blanks(c.in + 1);
  const char letter = upper(*c.in++);
  *c.out++ = letter;
  c = read_word_value(c, letter, scales);
  if (c.failed()) return false;
  end_token(begin, c.out, rank_of(','), 0);
  return true;
}

BlockReader::Result BlockReader::read_words(std::string_view line, const Scales* scales) {
  clear(line.data());
  const char* const line_end = line.data() + line.size();
  Cursor c{line.data(), buffer_.get()};
  for (;;) {
    c.in = skip_blanks(c.in);
    if (c.in >= line_end) break;  // blanks behind the line may be taken with a number
    if (count_ > 0) *c.out++ = ' ';
    const char ch = *c.in;
    if (is_letter(ch) || (ch == ':' && comments_only_)) {
      if (!read_letter(c, scales)) return Result::flow;
    } else if (ch == '#') {
      if (!read_setting(c)) return Result::flow;
    } else if (ch == '/' && comments_only_) {
      if (!read_skip(c)) return Result::failed;
    } else if (ch == ',' && is_letter(*skip_blanks(c.in + 1))) {
      if (!read_comma_word(c, scales)) return Result::flow;
    } else {
      std::string_view comment;
      if (!read_comment(c.in, line_end, comment)) return Result::flow;
      if (comment.empty()) {
        if (count_ > 0) --c.out;
        continue;
      }
      const char* const begin = c.out;
      c.out = std::copy(comment.begin(), comment.end(), c.out);
      end_token(begin, c.out, rank_comment, 0);
    }
  }
  end_ = c.out;
  if (count_ == 0) return Result::empty;
  order_tokens();
  return Result::read;
}

}  // namespace keepway::reader
