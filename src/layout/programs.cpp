// What one program is, what its number looks like, and which programs are hidden.
#include <fmt/format.h>

#include <algorithm>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "layout/ranges.hpp"
#include "layout/source.hpp"

namespace keepway::layout {
namespace {

constexpr std::size_t max_forms = 8;
constexpr std::size_t max_form = 16;
constexpr std::string_view name_form = "name";

bool all_letters(std::string_view text) {
  return std::all_of(text.begin(), text.end(), [](char c) { return c >= 'A' && c <= 'Z'; });
}

// Each block is compared with all of them.
std::vector<std::string> few_words(Form& form, std::string_view key) {
  constexpr std::size_t most = 32;
  std::vector<std::string> words = form.texts(key);
  if (words.size() > most) {
    form.fail(key, fmt::format("{} has {} words", key, words.size()), fmt::format("name at most {}", most));
  }
  return words;
}

void parse_calls(Form& form, Source& source) {
  if (form.any("calls") == nullptr) return;
  source.calls.clear();
  for (const std::string& text : few_words(form, "calls")) {
    const std::string word = upper(text);
    const bool code = word.starts_with('G') || word.starts_with('M');
    const auto number = code ? canonical_number(std::string_view(word).substr(1)) : std::nullopt;
    if (!number || number->front() == '-') {
      form.fail("calls", fmt::format("'{}' is not a G or M word", escape(text)), "write \"M98\"");
    }
    source.calls.push_back(word[0] + *number);
  }
}

void parse_flow(Form& form, Source& source) {
  constexpr std::size_t longest = 16;
  for (const std::string& text : few_words(form, "flow")) {
    std::string word = upper(text);
    if (!all_letters(word) || word.size() < 2 || word.size() > longest) {
      form.fail("flow", fmt::format("'{}' is not a word of 2 to {} letters", escape(text), longest),
                "name the words that programs have without a blank after them");
    }
    source.flow.push_back(std::move(word));
  }
}

// A form is printable, ends in no digit or point, which would run into the number, and begins no comment.
bool is_form(std::string_view form) {
  return !form.empty() && form.size() <= max_form && std::all_of(form.begin(), form.end(), [](char c) {
    return c > ' ' && c < 0x7f && !(c >= '0' && c <= '9') && c != '.';
  }) && std::string_view("(#;/N").find(form.front()) == std::string_view::npos;
}

void parse_numbers(Form& form, Source& source) {
  const std::vector<std::string> forms = form.texts("numbered_by");
  if (form.any("numbered_by") == nullptr) return;
  if (source.program == ProgramIs::file) {
    form.fail("numbered_by", "numbered_by is given, and program is \"file\": a file is called by its path",
              "leave numbered_by out");
  }
  source.number_forms.clear();
  source.number_in_name = false;
  for (const std::string& text : forms) {
    if (text == name_form) {
      source.number_in_name = true;
    } else if (is_form(upper(text)) && source.number_forms.size() < max_forms) {
      source.number_forms.push_back(upper(text));
    } else {
      form.fail(
          "numbered_by", fmt::format("'{}' in numbered_by is not a form of a program's number", escape(text)),
          "write what comes before the digits, \"O\", \":\" or \"%P\", or \"name\" for the file's name");
    }
  }
  if (source.number_forms.empty() && !source.number_in_name) {
    form.fail("numbered_by", "numbered_by is empty", "write [\"O\", \":\", \"name\"]");
  }
}

void parse_mark(Form& form, Source& source) {
  const std::string mark = form.text("percent").value_or("pair");
  if (mark == "heading") {
    source.mark = Mark::heading;
  } else if (mark == "none") {
    source.mark = Mark::none;
  } else if (mark != "pair") {
    form.fail("percent", fmt::format("percent is '{}'", escape(mark)), "use one of: pair, heading, none");
  }
  const bool in_heading = std::any_of(source.number_forms.begin(), source.number_forms.end(),
                                      [](const std::string& text) { return text.starts_with('%'); });
  if (in_heading && source.mark != Mark::heading) {
    form.fail("percent", "a program's number is behind %, and percent is not \"heading\"",
              "add percent = \"heading\"");
  }
}

void parse_ends(Form& form, Source& source) {
  constexpr std::size_t longest = 16;
  std::vector<std::string> ends = few_words(form, "ends");
  if (ends == std::vector<std::string>{"none"}) {
    source.endless = true;
    return;
  }
  for (const std::string& text : ends) {
    std::string end = upper(text);
    std::erase(end, ' ');
    // "M00" is M0.
    for (std::size_t i = 0; i + 1 < end.size();) {
      const bool leads = end[i] == '0' && is_digit(end[i + 1]) && (i == 0 || !is_digit(end[i - 1]));
      if (leads) {
        end.erase(i, 1);
      } else {
        ++i;
      }
    }
    const bool plain = std::all_of(end.begin(), end.end(), [](char c) { return c > ' ' && c < 0x7f; });
    if (end.empty() || end.size() > longest || !plain) {
      form.fail("ends", fmt::format("'{}' does not end a program", escape(text)),
                "write how the last block begins, \"M0\" or \"RETURN\", or \"none\" where nothing ends one");
    }
    source.ends.push_back(std::move(end));
  }
}

}  // namespace

void parse_blocks(Form& form, Source& source) {
  for (const std::string& text : form.texts("protected")) {
    const std::optional<Range> range = parse_range(text);
    if (!range) {
      form.fail("protected", fmt::format("'{}' is not a range of programs", escape(text)),
                "write \"700-799\"");
    }
    source.protected_programs.push_back(*range);
  }
  parse_calls(form, source);
  parse_flow(form, source);
  source.increment_letters = upper(form.text("increment_letters").value_or(""));
  if (!all_letters(source.increment_letters)) {
    form.fail("increment_letters", "increment_letters may hold only letters", "write \"XYZIJKR\"");
  }
  const std::string program = form.text("program").value_or("number");
  if (program == "file") {
    source.program = ProgramIs::file;
    source.number_in_name = false;
    source.number_forms.clear();
  } else if (program != "number") {
    form.fail("program", fmt::format("program is '{}'", escape(program)), "use one of: number, file");
  }
  parse_numbers(form, source);
  parse_named_by(form, source);
  parse_mark(form, source);
  parse_ends(form, source);
}

}  // namespace keepway::layout
