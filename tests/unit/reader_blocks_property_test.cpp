// Laws of the normal form, on random programs and random bytes.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "reader/parts.hpp"

namespace keepway::reader {
namespace {

Source plain_source() {
  Source source;
  source.comments = {"(", ";"};
  source.point = Point::free;
  return source;
}

// A block as its items, none of which depends on the order.
using Items = std::vector<std::string>;

rc::Gen<std::string> digits(int least, int most) {
  return rc::gen::map(rc::gen::inRange(least, most), [](int n) { return std::to_string(n); });
}

rc::Gen<Items> block_items() {
  return rc::gen::exec([] {
    Items items;
    if (*rc::gen::inRange(0, 4) == 0) items.push_back("N" + *digits(1, 99999));
    const std::string letters = "GXYZABCIJKRPQLEHDFSTM";
    std::string chosen = *rc::gen::container<std::string>(rc::gen::elementOf(letters));
    std::sort(chosen.begin(), chosen.end());
    chosen.erase(std::unique(chosen.begin(), chosen.end()), chosen.end());
    for (const char letter : chosen) {
      const bool code = letter == 'G' || letter == 'M';
      std::string value = *digits(code ? 0 : -9999, 9999);
      if (!code && *rc::gen::arbitrary<bool>()) value += "." + *digits(1, 999);
      // On a line with M98 an N word in front numbers the block, and one behind names a block of what is
      // called.
      if (letter == 'M' && value == "98") value = "97";
      items.push_back(letter + value);
    }
    for (int i = *rc::gen::inRange(0, 3); i > 0; --i) {
      items.push_back("#" + std::to_string(i * 100) + "=" + *digits(-99, 99));
    }
    if (*rc::gen::inRange(0, 3) == 0) items.push_back("(Text  of " + *digits(0, 99) + ")");
    if (items.empty()) items.push_back("G" + *digits(0, 99));
    return items;
  });
}

// Writes an item in one of its many spellings.
std::string spell(const std::string& item) {
  if (item[0] == '(') return item;
  std::string out;
  const bool setting = item[0] == '#';
  std::size_t at = 0;
  auto blanks = [&] {
    static const std::vector<std::string> choices = {"", "", "", " ", "\t", "  "};
    out += *rc::gen::elementOf(choices);
  };
  auto number = [&](std::string text, bool may_be_signed) {
    if (text[0] == '-') {
      out += '-';
      text.erase(0, 1);
    } else if (may_be_signed && *rc::gen::inRange(0, 3) == 0) {
      out += '+';
    }
    blanks();
    for (int zeros = *rc::gen::inRange(0, 3); zeros > 0; --zeros) out += '0';
    std::string tail;
    if (text.find('.') != std::string::npos) {
      tail = std::string(static_cast<std::size_t>(*rc::gen::inRange(0, 3)), '0');
    } else {
      static const std::vector<std::string> tails = {"", "", ".", ".0", ".00"};
      tail = *rc::gen::elementOf(tails);
    }
    for (const char c : text + tail) {
      out += c;
      if (*rc::gen::inRange(0, 6) == 0) blanks();
    }
  };
  if (setting) {
    const std::size_t equals = item.find('=');
    out += '#';
    blanks();
    number(item.substr(1, equals - 1), false);
    out += '=';
    blanks();
    number(item.substr(equals + 1), true);
    return out;
  }
  const bool lower = *rc::gen::arbitrary<bool>();
  out += lower ? static_cast<char>(item[0] | 0x20) : item[0];
  blanks();
  at = 1;
  number(item.substr(at), true);
  return out;
}

std::string spell_program(const std::vector<Items>& program) {
  static const std::vector<std::string> ends = {"\n", "\r\n", "\r", "\n\r"};
  const std::string end = *rc::gen::elementOf(ends);
  std::string text = *rc::gen::arbitrary<bool>() ? "%" + end : "";
  for (Items items : program) {
    if (*rc::gen::inRange(0, 5) == 0) text += " \t" + end;
    // A random order: comments may go anywhere among the words.
    for (std::size_t i = items.size(); i > 1; --i) {
      std::swap(items[i - 1], items[*rc::gen::inRange<std::size_t>(0, i)]);
    }
    for (const std::string& item : items) {
      text += spell(item);
      if (*rc::gen::arbitrary<bool>()) text += ' ';
    }
    text += end;
  }
  return text;
}

// `#` settings: the report lets a value run into the next item, so the plain text is spelled with blanks.
std::string plain_program(const std::vector<Items>& program) {
  std::string text;
  for (const Items& items : program) {
    for (const std::string& item : items) text += item + " ";
    text += "\n";
  }
  return text;
}

RC_GTEST_PROP(BlockLaws, AProgramHasOneNormalFormInTwoHundredSpellings, ()) {
  const auto program =
      *rc::gen::resize(8, rc::gen::nonEmpty(rc::gen::container<std::vector<Items>>(block_items())));
  const Source source = plain_source();
  const std::string normal = normal_program(plain_program(program), source, Units::inch);
  for (int i = 0; i < 200; ++i) {
    const std::string spelled = spell_program(program);
    if (normal_program(spelled, source, Units::inch) != normal) RC_FAIL("spelled: " + spelled);
  }
}

RC_GTEST_PROP(BlockLaws, DifferentNumbersGiveDifferentNormalForms, ()) {
  const auto a = *rc::gen::inRange(-99999, 99999);
  const auto b = *rc::gen::inRange(-99999, 99999);
  const Source source = plain_source();
  const std::string x = normal_program("X" + std::to_string(a), source, Units::inch);
  const std::string y = normal_program("X" + std::to_string(b), source, Units::inch);
  RC_ASSERT((a == b) == (x == y));
}

// Bytes that make the reader think: pieces of its grammar in any order.
rc::Gen<std::string> hostile_text() {
  static const std::vector<std::string> pieces = {"G",    "g1",         "X",        "x1.",
                                                  "-",    "+",          ".",        "0",
                                                  "5",    "#",          "[",        "]",
                                                  "=",    "/",          "%",        "(",
                                                  ")",    ";",          ",R",       ":",
                                                  "O12",  "o",          "N10",      " ",
                                                  "\t",   "\n",         "\r",       "WHEN",
                                                  "THUS", "LEAP",       "LAP",      "TURN",
                                                  "SIN",  "sin[",       "AND",      "MOD",
                                                  "M30",  "P",          "M98",      "I1",
                                                  "J2",   "\\",         "\\x01",    std::string(1, '\0'),
                                                  "\x01", "\xff",       "\xc3\xa9", "(a)",
                                                  "*",    "ATAN[1]/[2]"};
  return rc::gen::map(rc::gen::container<std::vector<std::string>>(rc::gen::elementOf(pieces)),
                      [](const std::vector<std::string>& chosen) {
                        std::string text;
                        for (const std::string& piece : chosen) text += piece;
                        return text;
                      });
}

RC_GTEST_PROP(BlockLaws, TheNormalFormOfANormalFormIsItself, ()) {
  const std::string text = *rc::gen::scale(3, hostile_text());
  const Source source = plain_source();
  const std::string once = normal_program(text, source, Units::inch);
  RC_ASSERT(normal_program(once, source, Units::inch) == once);
}

RC_GTEST_PROP(BlockLaws, AProgramsTextReadsToTheSameProgram, ()) {
  const std::string text = *rc::gen::scale(3, hostile_text());
  const Source source = plain_source();
  Output output;
  read_blocks({0, "a.nc", text, 0, 1, source, 0, Units::inch}, output);
  for (const RawProgram& program : output.programs) {
    Output again;
    read_blocks({0, program.facts.name, program.text, 0, 1, source, 0, Units::inch}, again);
    if (program.text.empty()) continue;
    RC_ASSERT(again.programs.size() == 1U);
    RC_ASSERT(again.programs[0].text == program.text);
    RC_ASSERT(again.programs[0].facts.name == program.facts.name);
    RC_ASSERT(again.programs[0].facts.calls == program.facts.calls);
  }
}

RC_GTEST_PROP(BlockLaws, SpansLieInTheFileAndDoNotOverlap, ()) {
  const std::string text = *rc::gen::scale(3, hostile_text());
  const Source source = plain_source();
  Output output;
  read_blocks({0, "a.nc", text, 50, 1, source, 0, Units::inch}, output);
  std::uint64_t end = 50;
  for (const RawProgram& program : output.programs) {
    const Span& span = program.facts.span;
    RC_ASSERT(span.at >= end);
    end = span.at + span.length;
    RC_ASSERT(end <= 50 + text.size());
    for (const Span& call : program.facts.call_spans) {
      RC_ASSERT(call.at >= span.at && call.at + call.length <= end);
    }
  }
  for (const Unread& row : output.unread) {
    RC_ASSERT(text.substr(row.span.at - 50, row.span.length) == row.text);
  }
}

}  // namespace
}  // namespace keepway::reader
