// Git's merge driver: tables item by item, programs whole. An original is what came off a machine, so two of
// them are never put together: where both sides changed it, ours stays, as it does when a trial is kept.
#include <fmt/format.h>

#include <memory>

#include "cli/command.hpp"
#include "cli/driver.hpp"
#include "keepway/merge.hpp"
#include "keepway/small_file.hpp"

namespace keepway::cli {
namespace {

struct Sides {
  std::string base;
  std::string ours;
  std::string theirs;
};

std::string between_markers(const std::string& ours, const std::string& base, const std::string& theirs) {
  return "<<<<<<< ours\n" + ours + "||||||| base\n" + base + "=======\n" + theirs + ">>>>>>> theirs\n";
}

struct Merged {
  std::string text;
  bool clean = true;
};

std::string row(const std::string& key, const std::optional<std::string>& value) {
  return value ? write_table({{key, *value}}) : std::string();
}

// A base that Git itself put together from two, with markers in it, counts as having no rows.
Table base_table(const std::string& text, const std::string& path) {
  try {
    return read_table(text, path);
  } catch (const Error&) {
    return {};
  }
}

Merged merge_tables(Group group, const std::string& path, const Sides& sides) {
  State base;
  State ours;
  State theirs;
  base.table(group) = base_table(sides.base, path);
  ours.table(group) = read_table(sides.ours, path);
  theirs.table(group) = read_table(sides.theirs, path);
  const Merge merge = keepway::merge(base, ours, theirs);
  Merged out;
  out.clean = merge.clean();
  const Table rows = merge.state.table(group).value_or(Table{});
  auto at = rows.begin();
  const auto rows_before = [&](const std::string& key) {
    while (at != rows.end() && natural_order(at->key, key) < 0) {
      out.text += row(at->key, at->value);
      ++at;
    }
  };
  for (const Clash& clash : merge.clashes) {
    const std::string& key = clash.address.key;
    rows_before(key);
    if (at != rows.end() && at->key == key) ++at;  // the base's value is between the markers
    out.text += between_markers(row(key, clash.ours), row(key, clash.base), row(key, clash.theirs));
  }
  for (; at != rows.end(); ++at) out.text += row(at->key, at->value);
  return out;
}

Merged merge_whole(const Sides& sides) {
  if (sides.ours == sides.theirs || sides.theirs == sides.base) return {sides.ours};
  if (sides.ours == sides.base) return {sides.theirs};
  const auto ended = [](std::string text) {
    if (!text.empty() && !text.ends_with('\n')) text += '\n';
    return text;
  };
  return {between_markers(ended(sides.ours), ended(sides.base), ended(sides.theirs)), false};
}

}  // namespace

void add_git_merge(Command app, Globals& globals) {
  auto words = std::make_shared<std::vector<std::string>>();
  Command made = command(app, "git-merge", "For Git to call: merge a table item by item, a program whole",
                         "git config merge.keepway.driver 'keepway git-merge %O %A %B %P'");
  made->group("");
  made->add_option("FILES", *words, "BASE OURS THEIRS PATH; the answer is written into OURS")
      ->required()
      ->expected(4);
  made->callback([&globals, words] {
    const auto& [base, ours, theirs, path] = std::tie((*words)[0], (*words)[1], (*words)[2], (*words)[3]);
    const Sides sides{driver_file(base), driver_file(ours), driver_file(theirs)};
    const auto group = path.starts_with("state/programs/") ? std::nullopt : group_of_file(path);
    Merged merged;
    if (path.starts_with("originals/")) {
      merged.text = sides.ours == sides.base ? sides.theirs : sides.ours;
    } else {
      merged = group ? merge_tables(*group, path, sides) : merge_whole(sides);
    }
    if (!write_small_file(ours, merged.text)) {
      throw Error(ErrorKind::store, "the merged file could not be written", "check that the disk is not full",
                  Place{escape(path)});
    }
    if (!merged.clean) globals.exit = Exit::look;
  });
}

}  // namespace keepway::cli
