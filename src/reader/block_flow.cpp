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

// Blanks in the normal form: before and after text, before a letter, between two values; none elsewhere.
bool BlockReader::read_flow(std::string_view line, const Scales* scales) {
  enum class Last { none, value, text, sign };  // what comes before
  clear(line.data());
  const char* const line_end = line.data() + line.size();
  std::vector<std::string_view> comments;
  Last last = Last::none;
  bool flow = false;
  Cursor c{line.data(), buffer_.get()};

  auto separate = [&] {
    if (last == Last::value || last == Last::text) *c.out++ = ' ';
  };
  auto word = [&](char letter) {  // `in` is behind the letter
    separate();
    const char* const raw = c.in - 1;
    *c.out++ = letter;
    c.in = skip_blanks(c.in);
    last = Last::value;
    if (*c.in == '=') return true;
    const char* const value = c.out;
    c = read_word_value(c, letter, scales);
    if (c.failed()) return false;
    if (letter == 'G' || letter == 'M') note_code(letter, value, c.out);
    if (letter == 'P') p_words_.push_back({letter, value, c.out, raw, c.in});
    return true;
  };

  for (;;) {
    c.in = skip_blanks(c.in);
    if (c.in >= line_end) break;
    const char ch = *c.in;
    if (ch == ':' && last == Last::none) {
      ++c.in;
      if (!word('O')) return false;
    } else if (is_letter(ch)) {
      const std::string_view run = letter_run(c.in);
      const char next = *skip_blanks(c.in + run.size());
      if (run.size() == 1 || (next == '[' && is_function(run.substr(1)))) {
        ++c.in;
        if (!word(upper(ch))) return false;
      } else if (next == '[' && is_function(run)) {
        separate();
        c = read_operand(c, point_);
        if (c.failed()) return false;
        last = Last::value;
      } else {
        if (last != Last::none) *c.out++ = ' ';
        const std::size_t length = first_word(run, next);
        for (std::size_t i = 0; i < length; ++i) *c.out++ = upper(*c.in++);
        flow = true;
        last = Last::text;
      }
    } else if (ch == '#' || ch == '[') {
      separate();
      c = read_operand(c, point_);
      if (c.failed()) return false;
      last = Last::value;
    } else if (is_digit(ch) || ch == '.') {
      if (last == Last::value) return false;
      separate();
      c = read_number(c, point_);
      if (c.failed()) return false;
      last = Last::value;
    } else if (ch == '/' && last == Last::none) {
      *c.out++ = '/';
      c.in = skip_blanks(c.in + 1);
      if (is_digit(*c.in)) c = read_number(c, Point::free);
      if (c.failed()) return false;
      last = Last::value;
    } else if (std::string_view("+-*/,=").find(ch) != std::string_view::npos) {
      if (last == Last::none || (last == Last::sign && ch != '+' && ch != '-')) return false;
      *c.out++ = ch;
      c.in = skip_blanks(c.in + 1);
      flow |= ch == '/' && is_letter(*c.in);
      last = Last::sign;
    } else {
      std::string_view comment;
      if (last == Last::sign || !read_comment(c.in, line_end, comment)) return false;
      if (!comment.empty()) comments.push_back(comment);
    }
  }
  if (last == Last::sign || !flow) return false;
  for (const std::string_view comment : comments) {
    *c.out++ = ' ';
    c.out = std::copy(comment.begin(), comment.end(), c.out);
  }
  end_ = c.out;
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
