// Flow statements (words of two letters or more between values; common practice, no source): their tokens
// keep their order.
#include <algorithm>

#include "reader/block.hpp"

namespace keepway::reader {
namespace {

bool begins_value(char c) {
  return is_digit(c) || c == '.' || c == '#' || c == '[' || c == '+' || c == '-';
}

}  // namespace

// Length of the flow word that a run of letters begins with, or 0.
std::size_t BlockReader::flow_word(std::string_view run) const {
  for (const std::string& word : flow_words_) {
    if (run.size() >= word.size() &&
        std::equal(word.begin(), word.end(), run.begin(), [](char a, char b) { return a == upper(b); })) {
      return word.size();
    }
  }
  return 0;
}

// Where the first word of a run ends. The layout's flow words may follow each other, or are before one
// letter that has a value, without a blank between.
std::size_t BlockReader::first_word(std::string_view run, char next) const {
  std::size_t at = 0;
  while (const std::size_t length = flow_word(run.substr(at))) at += length;
  const bool cut = at == run.size() || (at + 1 == run.size() && begins_value(next));
  return at > 0 && cut ? flow_word(run) : run.size();
}

// A blank is between two values and behind text.
void BlockReader::Flow::separate() {
  if (last == Last::value || last == Last::text) *at.out++ = ' ';
}

bool BlockReader::Flow::take(Cursor behind) {
  at = behind;
  last = Last::value;
  return !at.failed();
}

// A letter and its value; `at` is at the letter.
bool BlockReader::read_flow_word(Flow& flow, char letter, const Scales* scales) {
  flow.separate();
  Cursor& at = flow.at;
  const char* const raw = at.in;
  *at.out++ = letter;
  at.in = skip_blanks(at.in + 1);
  flow.last = Flow::Last::value;
  if (*at.in == '=') return true;
  const char* const value = at.out;
  if (!flow.take(read_word_value(at, letter, scales))) return false;
  if (letter == 'G' || letter == 'M') note_code(letter, value, at.out);
  if (letter == 'P') p_words_.push_back({letter, value, at.out, raw, at.in});
  return true;
}

// A word, a function with its argument, or text.
bool BlockReader::read_flow_letters(Flow& flow, const Scales* scales) {
  Cursor& at = flow.at;
  const std::string_view run = letter_run(at.in);
  const char next = *skip_blanks(at.in + run.size());
  if (run.size() == 1 || (next == '[' && is_function(run.substr(1))))
    return read_flow_word(flow, upper(*at.in), scales);
  if (next == '[' && is_function(run)) {
    flow.separate();
    return flow.take(read_operand(at, point_));
  }
  if (flow.last != Flow::Last::none) *at.out++ = ' ';
  const std::size_t length = first_word(run, next);
  for (std::size_t i = 0; i < length; ++i) *at.out++ = upper(*at.in++);
  flow.has_text = true;
  flow.last = Flow::Last::text;
  return true;
}

// A value without a letter, or a sign; `at` is at its first byte.
bool BlockReader::read_flow_value(Flow& flow) const {
  using Last = Flow::Last;
  Cursor& at = flow.at;
  const char first = *at.in;
  if (first == '#' || first == '[') {
    flow.separate();
    return flow.take(read_operand(at, point_));
  }
  if (is_digit(first) || first == '.') {
    if (flow.last == Last::value) return false;
    flow.separate();
    return flow.take(read_number(at, point_));
  }
  const bool skips = first == '/' && flow.last == Last::none;
  if (!skips && (flow.last == Last::none || (flow.last == Last::sign && first != '+' && first != '-')))
    return false;
  *at.out++ = first;
  at.in = skip_blanks(at.in + 1);
  if (skips) return flow.take(is_digit(*at.in) ? read_number(at, Point::free) : at);
  flow.has_text |= first == '/' && is_letter(*at.in);
  flow.last = Last::sign;
  return true;
}

// Blanks in the normal form: before and after text, before a letter, between two values; none elsewhere.
bool BlockReader::read_flow(std::string_view line, const Scales* scales) {
  clear(line.data());
  const char* const line_end = line.data() + line.size();
  std::vector<std::string_view> comments;
  Flow flow{{line.data(), buffer_.get()}};
  for (;;) {
    flow.at.in = skip_blanks(flow.at.in);
    if (flow.at.in >= line_end) break;
    const char first = *flow.at.in;
    bool read = true;
    if (first == ':' && flow.last == Flow::Last::none) {
      read = read_flow_word(flow, 'O', scales);
    } else if (is_letter(first)) {
      read = read_flow_letters(flow, scales);
    } else if (is_digit(first) || std::string_view("#[.+-*/,=").find(first) != std::string_view::npos) {
      read = read_flow_value(flow);
    } else {
      std::string_view comment;
      read = flow.last != Flow::Last::sign && read_comment(flow.at.in, line_end, comment);
      if (!comment.empty()) comments.push_back(comment);
    }
    if (!read) return false;
  }
  if (flow.last == Flow::Last::sign || !flow.has_text) return false;
  char* out = flow.at.out;
  for (const std::string_view comment : comments) {
    *out++ = ' ';
    out = std::copy(comment.begin(), comment.end(), out);
  }
  end_ = out;
  comments_only_ = false;
  commented_ = !comments.empty();
  return true;
}

// Whether what is in the buffer reads to itself: not so when a comment stood where it parted two tokens.
bool BlockReader::reads_back() {
  std::string text(buffer_.get(), end_);
  if (text.size() > max_block_bytes) return false;
  if (text.size() > room_) make_room(text.size());
  text += '\n';  // which a line is read up to
  const std::string_view ended(text.data(), text.size() - 1);
  return read_words(ended, nullptr) == Result::flow && read_flow(ended, nullptr) &&
         std::string_view(buffer_.get(), static_cast<std::size_t>(end_ - buffer_.get())) == ended;
}

}  // namespace keepway::reader
