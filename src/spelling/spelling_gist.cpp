// What is said of files whose bytes changed and whose values did not, in one sentence.
#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "keepway/spelling.hpp"
#include "keepway/text.hpp"

namespace keepway {
namespace {

using Read = SpelledFile::Read;

std::string counted(std::size_t count, const char* what) {
  return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

// The first few, and how many there are beside.
std::string listed(const std::vector<SpelledFile>& files) {
  constexpr std::size_t most = 3;
  std::string out;
  for (std::size_t i = 0; i < std::min(most, files.size()); ++i) out += (i > 0 ? ", " : "") + gist(files[i]);
  if (files.size() > most) out += fmt::format(", and {} more files", files.size() - most);
  return out;
}

// Whether anything is to be said of a file beside its rows that do not count.
bool is_spelled(const SpelledFile& file) {
  return file.came || file.gone || file.count > 0;
}

std::vector<SpelledFile> only(const std::vector<SpelledFile>& files, bool read) {
  std::vector<SpelledFile> out;
  std::copy_if(files.begin(), files.end(), std::back_inserter(out),
               [&](const SpelledFile& file) { return (file.read == Read::yes) == read && is_spelled(file); });
  return out;
}

// The first of them, and how many there are beside; empty for none.
std::string gist_overruled(const std::vector<SpelledFile>& files) {
  std::string out;
  std::size_t count = 0;
  for (const SpelledFile& file : files) {
    count += file.overruled_count;
    if (out.empty() && !file.overruled.empty()) out = gist(escape(file.name), file.overruled.front());
  }
  if (count < 2) return out;
  return out + (count == 2 ? std::string("; 1 more value that does not count changed too")
                           : fmt::format("; {} more values that do not count changed too", count - 1));
}

// Of the files in which nothing was read.
std::string gist_unread(const std::vector<SpelledFile>& files) {
  if (files.size() == 1) return gist(files.front());
  constexpr std::size_t most = 3;
  std::string names;
  for (std::size_t i = 0; i < std::min(most, files.size()); ++i)
    names += (i > 0 ? ", " : "") + escape(files[i].name);
  if (files.size() > most) names += fmt::format(" and {} more", files.size() - most);
  return fmt::format("{} files that are not read changed, came or are gone ({}): what they say is not known",
                     files.size(), names);
}

}  // namespace

std::string gist(const std::string& file, const OverruledChange& change) {
  const std::uint64_t line = change.after ? change.after_line : change.before_line;
  const std::string item = escape(change.address.text());
  const auto value = [](const std::optional<std::string>& text) { return escape(text.value_or("")); };
  std::string said =
      fmt::format("says {} where it said {} for {}", value(change.after), value(change.before), item);
  if (!change.before) said = fmt::format("came, and says {} for {}", value(change.after), item);
  if (!change.after) said = fmt::format("is gone; it said {} for {}", value(change.before), item);
  const std::string by = fmt::format("{}:{}", escape(change.by_file), change.by_line);
  return fmt::format(
      "a row that does not count, {}:{}, {}: {} is in force", file, line, said,
      change.in_force.empty() ? "the row " + by : fmt::format("{} of {}", escape(change.in_force), by));
}

std::string gist(const SpelledFile& file) {
  const std::string name = escape(file.name);
  const char* unread = file.read == Read::no_source ? ", and no source of the layout reads it"
                       : file.read == Read::nothing ? ", and nothing in it was understood"
                                                    : "";
  if (file.came) return fmt::format("the file {} came{}", name, unread);
  if (file.gone) return fmt::format("the file {} is gone{}", name, unread);
  if (file.read != Read::yes)
    return fmt::format("{} changed{}: what changed in it is not known", name, unread);
  if (file.count == 0 && !file.overruled.empty()) return gist_overruled({file});
  return fmt::format("{} is spelled otherwise in {}", name, counted(file.count, "line"));
}

std::string gist(const std::vector<SpelledFile>& files) {
  if (files.empty()) return "the values are the same; the names of files or folders differ";
  const std::vector<SpelledFile> read = only(files, true);
  const std::vector<SpelledFile> unread = only(files, false);
  if (const std::string overruled = gist_overruled(files); !overruled.empty()) {
    std::string out = "what counts is the same; " + overruled;
    if (!read.empty()) out += "; " + listed(read);
    return unread.empty() ? out : out + "; " + gist_unread(unread);
  }
  if (unread.empty()) return "the values are the same; " + listed(read);
  if (read.empty()) return gist_unread(unread);
  return fmt::format("the values that are read are the same; {}; {}", listed(read), gist_unread(unread));
}

std::string gist_beside(const std::vector<SpelledFile>& files) {
  const std::vector<SpelledFile> read = only(files, true);
  const std::vector<SpelledFile> unread = only(files, false);
  std::size_t lines = 0;
  for (const SpelledFile& file : read) lines += std::max<std::size_t>(file.count, 1);
  std::string out;
  if (!read.empty())
    out = fmt::format("beside that, {} in {} {} spelled otherwise, with the same values",
                      counted(lines, "line"), counted(read.size(), "file"), lines == 1 ? "is" : "are");
  if (const std::string overruled = gist_overruled(files); !overruled.empty())
    out += (out.empty() ? "beside that, " : "; ") + overruled;
  if (!unread.empty()) out += (out.empty() ? "beside that, " : "; ") + gist_unread(unread);
  return out;
}

}  // namespace keepway
