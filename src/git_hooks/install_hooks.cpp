// Hooks and drivers put in place.
//
// Motivation: a driver that cannot be run makes `git diff` and `git merge` fail outright, so each is a
// line of shell that finds keepway on the PATH, else where it was, else does what Git would have done.
#include <fmt/format.h>

#include <array>

#include "git/settings.hpp"
#include "git_hooks/hook_text.hpp"
#include "keepway/hooks.hpp"
#include "keepway/small_file.hpp"

namespace keepway {
namespace {

namespace fs = std::filesystem;

struct Hook {
  const char* name;
  std::string_view text;
  bool server;
};

const std::array<Hook, 3>& hooks() {
  static const std::array<Hook, 3> all = {{{"pre-commit", pre_commit_hook, false},
                                           {"commit-msg", commit_msg_hook, false},
                                           {"pre-receive", pre_receive_hook, true}}};
  return all;
}

std::string shell_quoted(const std::string& text) {
  std::string out = "'";
  for (const char c : text) {
    if (c == '\'') {
      out += "'\\''";
    } else {
      out += c;
    }
  }
  return out + "'";
}

std::string filled(std::string_view script, const std::string& program) {
  constexpr std::string_view gap = "@KEEPWAY@";
  std::string text(script);
  text.replace(text.find(gap), gap.size(), shell_quoted(program));
  return text;
}

void refuse_foreign(const fs::path& file, const Hook& hook) {
  std::error_code failed;
  if (!fs::exists(fs::symlink_status(file, failed))) return;
  const auto there = read_small_file(file);
  if (there && there->find("# keepway hook:") != std::string::npos) return;
  throw Error(
      ErrorKind::refused, fmt::format("there already is a hook '{}', and it is not keepway's", hook.name),
      fmt::format("let it call 'keepway hook {}' itself, or move it away", hook.name), Place{file.string()});
}

std::vector<std::pair<std::string, std::string>> drivers(const std::string& program) {
  // `$k` is keepway, or empty. What keepway cannot read (an edit by hand) is left to Git, too.
  const auto line = [&](std::string_view body) {
    return fmt::format("f() {{ k=$(command -v keepway) || k={}; [ -x \"$k\" ] || k=; {}; }}; f",
                       shell_quoted(program), body);
  };
  std::string merge = line(
      "if [ \"$k\" ]; then \"$k\" git-merge \"$@\"; r=$?; if [ $r -le 1 ]; then return $r; fi; fi; "
      "case \"$4\" in originals/*) return 1;; esac; "
      "git merge-file -L ours -L base -L theirs \"$2\" \"$1\" \"$3\"");
  for (std::size_t at = 0; (at = merge.find('%', at)) != std::string::npos; at += 2) merge.insert(at, 1, '%');
  return {
      {"diff.keepway.command", line("{ [ \"$k\" ] && \"$k\" git-diff \"$@\" 2>/dev/null; } || "
                                    "git diff --no-index --no-ext-diff --no-textconv -- \"$2\" \"$5\" || :")},
      {"diff.keepway.textconv",
       line("{ [ \"$k\" ] && \"$k\" git-diff --textconv \"$1\" 2>/dev/null; } || cat <\"$1\"")},
      {"merge.keepway.name", "items of a machine's memory"},
      {"merge.keepway.driver", merge + " %O %A %B %P"}};
}

// The repository's own .gitattributes keeps every Git client from merging originals; here, where there is a
// driver for them, Git may.
constexpr std::string_view originals_merge = "/originals/** merge=keepway\n";

void attribute_originals(const fs::path& file) {
  std::string text = read_small_file(file).value_or("");
  if (text.find(originals_merge) != std::string::npos) return;
  if (!text.empty() && !text.ends_with('\n')) text += '\n';
  std::error_code ignored;
  fs::create_directories(file.parent_path(), ignored);
  if (!write_small_file(file, text + std::string(originals_merge))) {
    throw Error(ErrorKind::store, "Git's attributes could not be written", "check that the disk is not full",
                Place{file.string()});
  }
}

}  // namespace

std::vector<std::string> install_hooks(const HookPlace& place) {
  const store::GitPlace git = store::git_place(place.repository);
  std::error_code failed;
  const fs::path configured = fs::weakly_canonical(place.repository / git.hooks_path, failed);
  if (!git.hooks_path.empty() && configured != fs::weakly_canonical(git.git_folder / "hooks", failed)) {
    throw Error(ErrorKind::refused,
                fmt::format("Git is configured (core.hooksPath) to take its hooks from {}", git.hooks_path),
                "change that setting for this repository: git config core.hooksPath .git/hooks");
  }
  std::vector<std::string> written;
  for (const Hook& hook : hooks()) {
    if (hook.server == place.server) refuse_foreign(git.git_folder / "hooks" / hook.name, hook);
  }
  store::change_settings(git, [&] {
    for (const Hook& hook : hooks()) {
      if (hook.server != place.server) continue;
      store::write_script(git.git_folder / "hooks" / hook.name, filled(hook.text, place.program));
      written.emplace_back(hook.name);
    }
    if (place.server) store::name_main_in_head(place.repository);
    if (!git.bare) {
      store::set_config(place.repository, drivers(place.program));
      attribute_originals(git.git_folder / "info" / "attributes");
    }
  });
  return written;
}

}  // namespace keepway
