// Git's diff driver. As `diff.keepway.textconv` it turns a table into lines with names, for `git log -p`; as
// `diff.keepway.command` it explains a change of a table, for `git diff`.
#include <memory>

#include "cli/command.hpp"
#include "cli/driver.hpp"

namespace keepway::cli {
void add_git_diff(Command app, Globals& globals) {
  struct Options {
    bool textconv = false;
    std::vector<std::string> words;
  };
  auto options = std::make_shared<Options>();
  Command made = command(app, "git-diff", "For Git to call: show the change of a table with names",
                         "git config diff.keepway.textconv 'keepway git-diff --textconv'");
  made->group("");
  made->add_flag("--textconv", options->textconv, "Turn one file into lines with names");
  made->add_option("WORDS", options->words,
                   "FILE; or as Git gives them: PATH OLD-FILE OLD-ID OLD-MODE NEW-FILE NEW-ID NEW-MODE")
      ->required();
  made->callback([&globals, options] {
    const auto& words = options->words;
    if (words.size() != 1 && (options->textconv || words.size() < 5)) {
      throw Error(ErrorKind::usage, "these are not the arguments that Git gives a diff driver",
                  "let Git call this command: 'keepway hooks MACHINE' sets it up");
    }
    const auto group = group_of_file(words[0]);
    if (options->textconv) {
      const std::string text = driver_file(words[0]);
      const Names names = names_here();
      print(globals, {group ? show::table_with_names(names.book, names.units, *group, text) : text, ""});
      return;
    }
    if (!group || words.size() < 5) {
      throw Error(ErrorKind::input, "is not a table of a machine's state",
                  "see it with 'git diff --no-ext-diff'", Place{escape(words[0])});
    }
    const Names names = names_here();
    const auto table = [&](const std::string& file) { return read_table(driver_file(file), words[0]); };
    print(globals, {show::explained(names.book, names.units, *group, words[0],
                                    compare_tables(*group, table(words[1]), table(words[4]))),
                    ""});
  });
}

}  // namespace keepway::cli
