// Directories of programs, as controls print them beside the programs: no data of their own.
#include <algorithm>
#include <array>
#include <set>

#include "base/digit.hpp"
#include "keepway/text.hpp"
#include "survey/try_proposals.hpp"

namespace keepway::layout {
namespace {

Reading read_alone(const OriginalView& original, const std::vector<Tried>& pieces) {
  std::string sources;
  for (Tried piece : pieces) {
    std::string& keys = piece.candidate.keys;  // sizes as they are written, in no increment
    const std::size_t at = keys.find("least_increment = ");
    if (at != std::string::npos) keys.erase(at, keys.find('\n', at) + 1 - at);
    sources += source_toml(piece, {"*"}, true);
  }
  try {
    return read_backup(parse_layout(layout_toml(sources, {}), "proposed"), {}, {original});
  } catch (const Error&) {
    return {};  // what is wrong with it is found where it is tried
  }
}

// "O0100", "100": the same program.
std::string plain_number(std::string_view name) {
  if (name.size() > 1 && upper(name[0]) == 'O' && is_digit(name[1])) name.remove_prefix(1);
  const std::size_t first = std::min(name.find_first_not_of('0'), name.size());
  return upper(all_digits(name) && first < name.size() ? name.substr(first) : name);
}

// Whether the file's name, the heading of the piece, or one of the file's first lines calls it one.
bool says_directory(const OriginalView& original, const Piece& piece) {
  constexpr auto words =
      std::to_array<std::string_view>({"directory", "catalog", "katalog", "verzeichnis", "inhalt", "library",
                                       "repertoire", "indice", "adresar"});
  constexpr std::size_t lines = 5;
  const auto says = [&](std::string_view text) {
    const std::string low = lower(text);
    return group_in_name(text) == Group::programs ||
           std::any_of(words.begin(), words.end(),
                       [&](std::string_view word) { return low.find(word) != std::string::npos; });
  };
  const std::string_view name = std::string_view(original.name).substr(original.name.rfind('/') + 1);
  if (!piece.title.empty()) return says(piece.title);
  if (lower(name).starts_with("dir") || says(name)) return true;
  std::string_view text = original.bytes;
  for (std::size_t i = 0; i < lines && !text.empty(); ++i) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    if (says(text.substr(0, end))) return true;
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return false;
}

// Its rows are called by programs that the backup has, but for a last one, "7 FILES", and none has a value
// with a point, as a size has not.
bool lists_programs(const Reading& reading, std::size_t source, const std::set<std::string>& programs) {
  std::set<std::string> known;
  std::set<std::string> others;
  for (const Origin& origin : reading.origins) {
    if (origin.source != source) continue;
    const Item* item = find_item(*reading.state.table(origin.group), origin.key);
    const bool number = item != nullptr && origin.kind != FieldKind::text;
    if (number && item->value.find('.') != std::string::npos) return false;
    std::string_view key = origin.key;
    for (const std::string_view front : {"tool/", "work/"}) {
      if (key.starts_with(front)) key.remove_prefix(front.size());
    }
    const std::string name = plain_number(key.substr(0, key.find('/')));
    if (origin.group == Group::offsets && all_digits(name)) return false;  // tools have numbers, too
    (programs.contains(name) ? known : others).insert(name);
  }
  return !known.empty() && (others.empty() || (others.size() == 1 && known.size() > 1));
}

}  // namespace

std::vector<Directory> directories_of(const std::vector<OriginalView>& originals,
                                      const std::vector<std::vector<Tried>>& files) {
  std::vector<Directory> found;
  for (std::size_t i = 0; i < files.size(); ++i) {
    for (std::size_t piece = 0; piece < files[i].size(); ++piece) {
      const Candidate& candidate = files[i][piece].candidate;
      const bool table = candidate.reader == ReaderKind::columns;
      if (table && says_directory(originals[i], files[i][piece].piece)) found.push_back({i, piece});
    }
  }
  if (found.empty()) return found;
  std::set<std::string> programs;
  for (std::size_t i = 0; i < files.size(); ++i) {
    const bool any = std::any_of(files[i].begin(), files[i].end(), [](const Tried& piece) {
      return piece.candidate.reader == ReaderKind::blocks;
    });
    if (!any) continue;
    for (const ProgramFacts& program : read_alone(originals[i], files[i]).programs) {
      const std::string_view name = std::string_view(program.name).substr(program.name.rfind('/') + 1);
      programs.insert(plain_number(name));
      programs.insert(plain_number(name.substr(0, name.rfind('.'))));  // one that is called by its file
    }
  }
  std::erase_if(found, [&](const Directory& each) {
    return !lists_programs(read_alone(originals[each.file], files[each.file]), each.piece, programs);
  });
  return found;
}

}  // namespace keepway::layout
