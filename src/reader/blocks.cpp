// Files of program text: marks, where programs begin and end, what they are called, what is odd.
// Blocks themselves are read by block.hpp.
#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>

#include "base/digit.hpp"
#include "reader/block.hpp"
#include "reader/lines.hpp"
#include "reader/parts.hpp"
#include "reader/program_calls.hpp"
#include "reader/program_end.hpp"
#include "reader/program_number.hpp"
#include "reader/row_shape.hpp"
#include "reader/text.hpp"

namespace keepway::reader {
namespace {

constexpr std::size_t long_line = 256;         // NISTIR 6556, 3.3.1
constexpr std::size_t excerpt_bytes = 60;      // of a line shown to people
constexpr std::size_t max_listed_unread = 50;  // unread lines listed one by one

// Whether a line is such as a person or a program writes: no control bytes, and none that a line spoiled.
bool is_plain(std::string_view line) {
  return std::all_of(line.begin(), line.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte == '\t' || (byte >= ' ' && byte != 0x7f && byte != '?');
  });
}

// "12 DRILL DEPTH 3.5", "END PART": a line of a control's own words, as a file that is a program may have.
// `G1 GARBLE` is none: it begins as a block.
bool is_in_words(std::string_view line) {
  constexpr std::ptrdiff_t fewest = 3;  // letters
  line.remove_prefix(std::min(line.find_first_not_of("0123456789 \t"), line.size()));
  const auto end = std::find_if_not(
      line.begin(), line.end(), [](char c) { return is_letter(c) || static_cast<unsigned char>(c) >= 0x80; });
  return end - line.begin() >= fewest;
}

std::string excerpt(std::string_view line) {
  if (line.size() <= excerpt_bytes) return escape(line);
  return escape(line.substr(0, excerpt_bytes)) + " …";
}

std::string_view trim_left(std::string_view line) {
  while (!line.empty() && is_blank(line.front())) line.remove_prefix(1);
  return line;
}

class BlocksFile {
 public:
  BlocksFile(const Input& input, Output& output)
      : input_(input), output_(output), blocks_(input.source), units_(input.units) {
    if (!input.source.named_by.before.empty())
      name_line_.emplace(input.source, input.source.named_by, std::vector<ShapeSplitter::Cell>(1));
  }

  void read() {
    Lines lines(input_.text);
    std::string last;  // a last line without its end gets one: see BlockReader
    bool ended = true;
    for (Line each; lines.next(each);) {
      line_number_ = each.number;
      std::string_view line = each.text;
      if (line.size() > long_line) {
        if (long_lines_++ == 0) long_line_ = place(each.at);
      }
      const std::size_t at = each.at;
      if (!each.ended) {
        last.assign(line) += '\n';
        line = std::string_view(last).substr(0, line.size());
        ended = false;
      }
      take_line(line, at, ended);
      if (!each.ended && !trim_left(line).empty() && !cut_) {
        odd(OddityKind::no_final_newline, place(at), "the last line has no line end");
      }
    }
    close_programs(end_of_text(), false);
    report_marks();
    name_programs();
    if (long_lines_ > 0) {
      odd(OddityKind::long_line, long_line_,
          fmt::format("{} line{} over {} characters", long_lines_, long_lines_ == 1 ? "" : "s", long_line));
    }
    if (unlisted_ > 0)
      odd(OddityKind::unread, first_unlisted_, fmt::format("{} more unread lines", unlisted_));
    for (RawProgram& program : programs_) output_.programs.push_back(std::move(program));
  }

 private:
  void take_line(std::string_view line, std::size_t at, bool ended) {
    for (;;) {
      const std::string_view rest = trim_left(line);
      at += line.size() - rest.size();
      line = rest;
      if (line.empty()) return;
      if (line[0] != '%') break;
      if (input_.source.mark == Mark::heading) {
        take_heading(line, at);
        return;
      }
      if (input_.source.mark == Mark::pair) take_mark(at);
      if (is_mark(line)) return;
      line.remove_prefix(1);
      ++at;
    }
    const std::string number = program_number(line, input_.source.number_forms);
    const std::string name = number.empty() ? name_in(line) : std::string();
    if (headed_) {
      begin_headed(number);
    } else if (!number.empty() || !name.empty()) {
      begin_program(number, at, !name.empty());
    } else if (!in_program_) {
      if (closed_) {
        if (ignored_lines_++ == 0) ignored_ = place(at);
        unread(line, at);
        return;
      }
      begin_program({}, at);
    }
    RawProgram& program = programs_.back();
    if (by_file_) note_label(line);
    const BlockKind kind = blocks_.read(line, units_, program.text.edit());
    if (begins_with_end(line, input_.source.ends)) {
      program.at_end = true;
    } else if (kind == BlockKind::words || kind == BlockKind::unread) {
      program.at_end = false;
    }
    if (!name.empty()) {
      program.facts.name = name;
      program.facts.numbered = true;
      return;
    }
    // "PROGRAM 12 FLANGE": what is behind the number is a name, which is no block.
    if (!number.empty() && line.size() > 1 && is_letter(line[0]) && is_letter(line[1])) return;
    if (kind == BlockKind::unread && ended && by_file_ && is_plain(line) && is_in_words(line)) return;
    if (kind == BlockKind::unread) {  // it is part of the text, in its place
      ProgramFacts& facts = program.facts;
      if (facts.unread++ < ProgramFacts::most_unread) facts.unread_spans.push_back(span(at, line.size()));
      if (ended) {
        report_unread(line, at);
      } else {
        cut_ = true;
        odd(OddityKind::cut_line, place(at), "the last line breaks off: " + excerpt(line));
      }
      return;
    }
    if (blocks_.ends_program()) program.facts.ended = true;
    // A file of subroutines ends as its flow words say, which need not be the report's M2.
    if (by_file_ && kind == BlockKind::words) flow_end_ = blocks_.is_flow();
    for (const Call& call : blocks_.calls()) {
      program.facts.calls.push_back(call.name);
      program.facts.call_spans.push_back(span(at + call.at, call.length));
      program.facts.calls_without_count.push_back(call.without_count);
    }
  }

  // A line that begins a program, and is part of its text. Where it holds nothing but `%`, it does so with
  // the next line: the last one of a file begins none.
  void take_heading(std::string_view line, std::size_t at) {
    if (in_program_) end_span(at);
    in_program_ = false;
    heading_ = {at, line_number_};
    headed_ = is_mark(line);
    if (headed_) return;
    begin_program(program_number(line, input_.source.number_forms), at);
    blocks_.read(line, units_, programs_.back().text.edit());
  }

  void begin_headed(const std::string& number) {
    begin_program(number, heading_.at);
    programs_.back().facts.span.line = input_.first_line + heading_.line - 1;
    programs_.back().text.edit() += "%\n";
    headed_ = false;
  }

  // `O100` within a file that is one program: a call of 100 stays in the file.
  void note_label(std::string_view line) {
    static const std::vector<std::string> forms = {"O", ":"};
    const std::string number = program_number(line, forms);
    if (!number.empty()) labels_.insert(program_name(number));
  }

  // A `%`: closes what comes before it, or opens what follows. One mark between two programs does both, and
  // so do two (common practice, no source); which one it was shows when the next program begins.
  void take_mark(std::size_t at) {
    ++marks_;
    if (in_program_) {
      close_programs(at, true);
      closed_ = true;
      open_ = false;
    } else if (!open_) {
      open_ = true;
      opening_ = place(at);
    }
  }

  // The name that a line gives the program it begins: where none is open, or the one above has ended. Empty
  // for any other line.
  std::string name_in(std::string_view line) {
    constexpr std::size_t longest = 64;
    const bool open = in_program_ && !headed_ && !programs_.back().facts.ended && !programs_.back().at_end;
    if (!name_line_ || open || !name_line_->split(line, name_cells_)) return {};
    std::string name(name_cells_.front());
    if (name.size() > longest) return {};
    std::replace(name.begin(), name.end(), '/', '-');  // which would be a folder
    return name;
  }

  void begin_program(const std::string& number, std::size_t at, bool named = false) {
    const bool headings = input_.source.mark == Mark::heading;
    if (!headings && (named || !number.empty()) && programs_.size() == 1 && !programs_[0].facts.numbered)
      drop_unnumbered(at);
    if (in_program_) end_span(at);
    if (marks_ > 0 && !open_) {
      open_ = true;
      opening_ = place(at);
    }
    if (!in_program_) section_ = programs_.size();
    RawProgram program;
    if (programs_.empty()) program.text.edit().reserve(input_.text.size());  // most files hold one
    if (!number.empty()) {
      program.facts.name = program_name(number);
      program.facts.numbered = true;
    }
    program.facts.span = span(at, 0);
    program.facts.source = input_.source_index;
    program.facts.by_file = by_file_;
    programs_.push_back(std::move(program));
    units_ = input_.units;
    in_program_ = true;
  }

  // Blocks before the first program number of a file that has numbers belong to no program. Comments there
  // are no part of the control's memory: they stay in the original alone.
  void drop_unnumbered(std::size_t at) {
    const std::size_t begin = programs_[0].facts.span.at - input_.base;
    std::size_t end = at;
    if (!in_program_) end = begin + programs_[0].facts.span.length;
    const std::uint64_t first_line = programs_[0].facts.span.line;
    programs_.clear();
    const auto first = output_.unread.begin() + static_cast<std::ptrdiff_t>(first_unread_);
    output_.unread.erase(first, std::find_if(first, output_.unread.end(), [&](const Unread& row) {
                           return row.span.at >= input_.base + end;
                         }));
    in_program_ = false;
    const std::uint64_t line_now = line_number_;
    Lines lines(input_.text.substr(begin, end - begin));
    std::string scratch;
    for (Line each; lines.next(each);) {
      // The region ends where a line begins, or at blanks or marks in it: its last line may lack its end.
      scratch.clear();
      std::string copy;
      std::string_view line = trim_left(each.text);
      if (!each.ended) {
        copy.assign(line) += '\n';
        line = std::string_view(copy).substr(0, line.size());
      }
      Units units = input_.units;
      const BlockKind kind = blocks_.read(line, units, scratch);
      if (kind != BlockKind::words && kind != BlockKind::unread) continue;
      line_number_ = first_line - input_.first_line + each.number;
      const std::size_t line_at = begin + each.at + (each.text.size() - line.size());
      unread(line, line_at);
      if (kind == BlockKind::words) report_unread(line, line_at);
    }
    line_number_ = line_now;
  }

  void end_span(std::size_t at) {
    Span& last = programs_.back().facts.span;
    last.length = input_.base + at - last.at;
  }

  // Lines at the end that are skipped are of no program.
  [[nodiscard]] std::size_t end_of_text() const {
    const std::string_view text = input_.text;
    if (input_.source.skip.empty()) return text.size();
    const std::size_t last = text.find_last_not_of(" \t\r\n") + 1;  // npos + 1 is 0
    return std::min(text.find('\n', last), text.size() - 1) + 1;
  }

  void close_programs(std::size_t at, bool by_mark) {
    if (!in_program_) return;
    end_span(at);
    in_program_ = false;
    if (by_mark) {
      for (std::size_t i = section_; i < programs_.size(); ++i) programs_[i].facts.ended = true;
    } else {
      cut_section_ = open_;
    }
  }

  void report_marks() {
    if (cut_section_ || (open_ && marks_ == 1)) {
      odd(OddityKind::mark_unclosed, opening_, "opened with %, never closed");
    }
    if (ignored_lines_ > 0) {
      odd(OddityKind::after_mark, ignored_,
          fmt::format("{} line{} after the closing %", ignored_lines_, ignored_lines_ == 1 ? "" : "s"));
    }
    for (RawProgram& program : programs_) {
      program.facts.ended = program.facts.ended || program.at_end || input_.source.endless;
      if (program.facts.ended || flow_end_) continue;
      Place where = place(program.facts.span.at - input_.base);
      where.line = program.facts.span.line;
      const auto& ends = input_.source.ends;
      odd(OddityKind::no_end, std::move(where),
          fmt::format("no M2, M30 or M99{}, and no closing %",
                      ends.empty() ? "" : fmt::format(", no {}", fmt::join(ends, " or "))));
    }
  }

  // A program without a number is called by the file's.
  void name_programs() {
    for (RawProgram& program : programs_) {
      if (!program.facts.numbered) name_by_file(program.facts);
    }
  }

  void name_by_file(ProgramFacts& facts) {
    if (by_file_) {
      facts.name = name_of_file(input_.name);
      drop_calls_within(facts, labels_);
      return;
    }
    const std::string_view digits = input_.source.number_in_name
                                        ? number_in_name(input_.name, input_.source.number_forms)
                                        : std::string_view();
    if (digits.empty()) {
      facts.name = input_.name;
      return;
    }
    facts.name = program_name(digits);
    facts.numbered = true;
    Place where = place(facts.span.at - input_.base);
    where.line = facts.span.line;
    odd(OddityKind::number_from_name, std::move(where), facts.name + " is from the file's name");
  }

  void unread(std::string_view line, std::size_t at) {
    while (!line.empty() && is_blank(line.back())) line.remove_suffix(1);
    output_.unread.push_back({Group::programs, std::string(line), span(at, line.size())});
  }

  void report_unread(std::string_view line, std::size_t at) {
    if (listed_ < max_listed_unread) {
      ++listed_;
      odd(OddityKind::unread, place(at), excerpt(line));
    } else if (unlisted_++ == 0) {
      first_unlisted_ = place(at);
    }
  }

  void odd(OddityKind kind, Place where, std::string detail) {
    output_.oddities.push_back({kind, std::move(where), std::move(detail), Group::programs});
  }
  [[nodiscard]] Span span(std::size_t at, std::size_t length) const {
    return {input_.file, input_.base + at, length, input_.first_line + line_number_ - 1};
  }
  [[nodiscard]] Place place(std::size_t at) const {
    return {std::string(input_.name), input_.first_line + line_number_ - 1, input_.base + at};
  }

  const Input& input_;
  Output& output_;
  BlockReader blocks_;
  Units units_;
  std::optional<ShapeSplitter> name_line_;
  std::vector<std::string_view> name_cells_;
  std::vector<RawProgram> programs_;
  std::size_t first_unread_ = output_.unread.size();
  std::uint64_t line_number_ = 0;  // from 1

  std::size_t marks_ = 0;
  std::size_t section_ = 0;  // first program behind the last mark
  Place opening_;
  const bool by_file_ = input_.source.program == ProgramIs::file;
  std::set<std::string> labels_;  // of a file that is one program
  struct Heading {
    std::size_t at = 0;
    std::uint64_t line = 0;
  };
  Heading heading_;
  bool headed_ = false;    // behind a bare heading
  bool flow_end_ = false;  // the last block of a file that is a program is a flow statement
  bool in_program_ = false;
  bool open_ = false;         // behind an opening mark
  bool closed_ = false;       // behind a closing one, at some time
  bool cut_section_ = false;  // the file ended inside a marked section
  bool cut_ = false;

  std::size_t long_lines_ = 0;
  Place long_line_;
  std::size_t ignored_lines_ = 0;
  Place ignored_;
  std::size_t listed_ = 0;
  std::size_t unlisted_ = 0;
  Place first_unlisted_;
};

}  // namespace

void read_blocks(const Input& input, Output& output) {
  BlocksFile(input, output).read();
}

}  // namespace keepway::reader
