// One block (line) of program text of ISO 6983-1, RS-274-D or RS274/NGC, and its normal form.
//
// Motivation: the same block may be spelled in many ways; a state must not change when only the
// spelling does. The normal form of a block:
//  - Blanks vanish outside comments and letters are upper case (NISTIR 6556, 3.3.1); numbers are canonical.
//  - Where the source says that the point counts, a word's number keeps its point (`X7.`, `X7`), but for the
//    codes G, M, N and O. Where the least increment of its letter is known, it is the exact value, with a
//    point: `X70000` and `X7.` are both `X7.`. Nothing is `X0` in all spellings.
//  - Words are in one order, since their order on a line means nothing (3.3.6): `/`, N, G by number,
//    X Y Z U V W A B C, I J K R, `,R` and the like, P Q L, E, H D, F, S, T, M by number, parameter settings
//    by number, comments. Repeated words of one letter, settings of one parameter and comments keep their
//    order. So do I J K among themselves when one is repeated (arguments of a call in sets, common practice),
//    and settings when one names its parameter by an expression. One blank is between words.
//  - An N word behind others on a line with M98 names a block of the program called; it goes behind the
//  settings.
//  - An O word at the start of a line, which begins a program, stays first; elsewhere it goes behind the
//  settings.
//  - A block with text of two letters or more outside an expression, or with `/` inside, is a flow
//    statement: it keeps the order received, but for its comments, which go last. Where a comment parts what
//    would read otherwise without it (`#1=#2 (a) AND #3`), the line counts as not read.
//  - A line that cannot be read is kept as its text, without blanks at its ends, tabs as blanks, the rest
//  escaped.
// The normal form of a normal form is itself.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "keepway/layout.hpp"
#include "reader/block_value.hpp"

namespace keepway::reader {

// Lines longer than this, or with a longer normal form, are not read: they are kept as their text. A bound on
// memory for hostile input; work within a line is n log n.
inline constexpr std::size_t max_block_bytes = std::size_t{64} << 10;

// A program called by one of the layout's call words.
struct Call {
  std::string name;           // "O710"
  std::string without_count;  // M98 with more than four digits: "O710" of `P30710`; else empty
  std::size_t at = 0;         // the P word, in the line
  std::size_t length = 0;
};

enum class BlockKind {
  blank,
  comment,  // comments alone
  words,
  unread,
};

class BlockReader {
 public:
  explicit BlockReader(const Source& source);

  // Appends the normal form of a line and LF to `out`; nothing for a blank line. The line has no line end of
  // its own, but the byte behind it must be there to be read and be one. `units` are those in force: a G20 or
  // G21 changes them.
  BlockKind read(std::string_view line, Units& units, std::string& out);

  // Of the last line read: holds M2, M30 or M99; is a flow statement; the calls.
  [[nodiscard]] bool ends_program() const { return ends_; }
  [[nodiscard]] bool is_flow() const { return flow_; }
  [[nodiscard]] const std::vector<Call>& calls() const { return calls_; }

 private:
  struct Token {
    std::uint64_t key;  // place in the block: rank, number, order received
    std::uint32_t at;   // in buffer_
    std::uint32_t length;
  };
  struct Word {
    char letter = 0;
    const char* text = nullptr;  // value, in buffer_
    const char* text_end = nullptr;
    const char* raw = nullptr;
    const char* raw_end = nullptr;
  };
  // What a number without a decimal point counts in.
  struct Scale {
    bool decimal = false;  // a negative power of ten: only the point moves
    std::size_t places = 0;
    Decimal factor;
  };
  using Scales = std::array<const Scale*, 256>;  // by letter; null: not known
  enum class Result { empty, read, flow, failed };

  // `scales`: those in force on the line; null for none.
  Result read_words(std::string_view line, const Scales* scales);
  // Of read_words(), at `c`, which then is behind what was read; false where it is not that.
  bool read_letter(Cursor& c, const Scales* scales);
  bool read_setting(Cursor& c);
  bool read_skip(Cursor& c);
  bool read_comma_word(Cursor& c, const Scales* scales);
  void end_token(const char* begin, const char* end, std::uint64_t rank, std::uint64_t number);
  // A flow statement as far as it is read.
  struct Flow {
    enum class Last { none, value, text, sign };
    Cursor at;
    Last last = Last::none;  // what comes before
    bool has_text = false;
    void separate();
    bool take(Cursor behind);
  };
  // Each false where the line is no flow statement.
  bool read_flow(std::string_view line, const Scales* scales);
  bool read_flow_letters(Flow& flow, const Scales* scales);
  bool read_flow_word(Flow& flow, char letter, const Scales* scales);
  bool read_flow_value(Flow& flow) const;
  [[nodiscard]] std::size_t flow_word(std::string_view run) const;
  [[nodiscard]] std::size_t first_word(std::string_view run, char next) const;
  bool reads_back();
  void append_words(std::string& out);
  void order_tokens();
  void put_called_block_last();
  std::uint64_t note_code(char letter, const char* text, const char* end);
  void note_calls();
  Cursor read_word_value(Cursor c, char letter, const Scales* scales);
  [[nodiscard]] Point point_of(char letter) const;
  void set_scale(Units units, char letter, const Decimal& increment);
  bool read_comment(const char*& in, const char* end, std::string_view& comment) const;
  Result read_either(std::string_view line, const Scales* scales);
  void make_room(std::size_t line_bytes);
  void clear(const char* line);

  std::array<bool, 256> line_comment_{};  // openers of comments that run to the line's end
  Point point_ = Point::counts;
  bool scaling_ = false;
  std::map<std::string, Scale> known_scales_;               // by their factor's text
  std::array<Scales, 2> scales_{};                          // by Units
  std::vector<std::pair<char, std::uint64_t>> call_words_;  // letter and number as note_code gives it
  std::vector<std::string> flow_words_;

  std::size_t room_ = 0;            // bytes of a line that buffer_ and tokens_ have room for
  std::unique_ptr<char[]> buffer_;  // the line's words in their normal spelling
  char* end_ = nullptr;             // of what is in it
  std::unique_ptr<Token[]> tokens_;
  std::size_t count_ = 0;       // of tokens
  std::uint64_t last_key_ = 0;  // of the last of them
  bool ordered_ = true;         // the words came in order
  bool comments_only_ = true;
  const char* line_ = nullptr;

  bool commented_ = false;    // a flow statement with comments
  bool out_of_room_ = false;  // numbers in increments grew the line beyond room_
  bool ends_ = false;
  bool flow_ = false;
  bool dwells_ = false;             // G4: its X counts in time
  std::optional<Units> new_units_;  // G20, G21
  bool calls_here_ = false;         // a call word
  bool calls_m98_ = false;
  std::vector<Word> p_words_;
  std::vector<Call> calls_;
};

}  // namespace keepway::reader
