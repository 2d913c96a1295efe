// Git's diff driver. As `diff.keepway.textconv` it turns a table into lines with names, for `git log -p`; as
// `diff.keepway.command` it explains a change of a table, for `git diff`.
#include <fmt/format.h>

#include <memory>

#include "cli/command.hpp"
#include "cli/driver.hpp"
#include "keepway/meaning.hpp"
#include "show/text.hpp"

namespace keepway::cli {
namespace {

// One line an item: address, name, value with its unit. A line that is no row stays as it is.
std::string with_names(Group group, std::string_view text) {
  const Names names = names_here();
  std::string out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::size_t tab = line.find('\t');
    const auto key = unescape(line.substr(0, std::min(tab, line.size())));
    const auto value = tab == std::string_view::npos ? std::nullopt : unescape(line.substr(tab + 1));
    if (!key || !value) {
      (out += line) += '\n';
      continue;
    }
    const auto entry = names.book.find(group, *key);
    out += fmt::format("{}\t{}\t{}\n", escape(Address{group, *key}.text()), entry ? escape(entry->name) : "",
                       explain_value(entry, names.units, *value));
  }
  return out;
}

std::string explained(Group group, const std::string& path, const std::string& before,
                      const std::string& after) {
  const Names names = names_here();
  show::Grid grid;
  for (const ValueChange& change : compare_tables(group, read_table(before, path), read_table(after, path))) {
    const ValueMeaning meaning =
        explain_change(names.book, names.units, group, change.key, change.before, change.after);
    std::string delta = meaning.delta;
    if (!delta.empty() && !meaning.unit.empty()) delta += " " + escape(meaning.unit);
    if (!meaning.other_delta.empty())
      delta += fmt::format(" ({} {})", meaning.other_delta, meaning.other_unit);
    grid.row({escape(meaning.address), escape(meaning.name), change.before ? meaning.before : "(none)", "->",
              change.after ? meaning.after : "(gone)", delta});
    for (const std::string& warning : meaning.warnings) grid.note(show::Tone::doubtful, "! " + warning);
  }
  return fmt::format("{}\n{}\n", escape(path), grid.text({}));
}

}  // namespace

void add_git_diff(CLI::App& app, Globals& globals) {
  struct Options {
    bool textconv = false;
    std::vector<std::string> words;
  };
  auto options = std::make_shared<Options>();
  CLI::App* made = command(app, "git-diff", "For Git to call: show the change of a table with names",
                           "git config diff.keepway.textconv 'keepway git-diff --textconv'");
  made->group("");
  made->add_flag("--textconv", options->textconv, "Turn one file into lines with names");
  made->add_option("WORDS", options->words,
                   "FILE; or as Git gives them: PATH OLD-FILE OLD-ID OLD-MODE NEW-FILE NEW-ID NEW-MODE")
      ->required();
  made->callback([&globals, options] {
    const auto& words = options->words;
    if (words.size() != 1 && (options->textconv || words.size() < 5)) {
      throw Error(Exit::usage, "these are not the words that Git gives a diff driver",
                  "let Git call this command: 'keepway hooks MACHINE' sets it up");
    }
    const auto group = group_of_file(words[0]);
    if (options->textconv) {
      const std::string text = driver_file(words[0]);
      print(globals, {group ? with_names(*group, text) : text, ""});
      return;
    }
    if (!group || words.size() < 5) {
      throw Error(Exit::input, "is no table of a machine's state", "see it with 'git diff --no-ext-diff'",
                  Place{escape(words[0])});
    }
    print(globals, {explained(*group, words[0], driver_file(words[1]), driver_file(words[4])), ""});
  });
}

}  // namespace keepway::cli
