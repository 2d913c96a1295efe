// Tables whose rows have the same numbers: each has its own name in the address, so that none takes the
// place of another.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "keepway/text.hpp"
#include "reader/text.hpp"
#include "survey/try_proposals.hpp"

namespace keepway::layout {
namespace {

std::string usual_key(const Candidate& candidate) {
  if (candidate.reader == ReaderKind::sections) return "{part}/{key}";
  return candidate.keys.find("{letter}{key}") != std::string::npos ? "{letter}{key}" : "{key}";
}

// Addresses that each piece of one file gives.
std::vector<std::set<std::string>> addresses_of(const OriginalView& original,
                                                const std::vector<Tried>& pieces) {
  std::vector<std::set<std::string>> found(pieces.size());
  std::string sources;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    Tried apart = pieces[i];
    if (apart.candidate.reader != ReaderKind::blocks)
      apart.candidate.keys = with_prefix(apart.candidate, fmt::format("p{}", i));
    sources += source_toml(apart, {"*"}, true);
  }
  try {
    const Layout layout = parse_layout(layout_toml(sources, {}), "proposed");
    const Reading reading = read_backup(layout, {}, {{"sample", original.bytes}});
    for (const Origin& origin : reading.origins) {
      if (origin.group == Group::programs || is_unread(origin.key)) continue;
      const std::size_t slash = origin.key.find('/');
      found[origin.source].insert(std::string(group_name(origin.group)) + "/" + origin.key.substr(slash + 1));
    }
  } catch (const Error&) {
    return found;  // what is wrong with it is found where it is tried
  }
  return found;
}

bool share(const std::set<std::string>& a, const std::set<std::string>& b) {
  return std::any_of(a.begin(), a.end(), [&](const std::string& each) { return b.contains(each); });
}

std::string name_of(const OriginalView& original, const Piece& piece) {
  const std::string_view file = original.name.substr(original.name.rfind('/') + 1);
  std::string_view text = piece.title.empty() ? file.substr(0, file.rfind('.')) : piece.title;
  text = text.substr(0, text.find("   "));  // behind which is a date or a page
  std::string name;
  for (const char c : lower(text)) {
    if (is_letter(c) || is_digit(c)) {
      name += c;
    } else if (!name.empty() && name.back() != '-') {
      name += '-';
    }
  }
  while (!name.empty() && name.back() == '-') name.pop_back();
  return name.empty() ? "other" : name;
}

struct Member {
  std::size_t file = 0;
  std::size_t piece = 0;
  std::set<std::string> addresses;
  bool clashes = false;
};

}  // namespace

std::string with_prefix(const Candidate& candidate, const std::string& name) {
  std::string keys = candidate.keys;
  const std::string_view line = "address  = \"";
  bool any = false;
  for (std::size_t at = keys.find(line); at != std::string::npos; at = keys.find(line, at)) {
    at += line.size();
    keys.insert(at, name + "/");
    const std::size_t remark = std::min(keys.find('#', at), keys.find('\n', at));  // which stays where it is
    std::size_t blanks = 0;
    while (remark < keys.size() && blanks < name.size() + 1 && keys[remark - blanks - 2] == ' ') ++blanks;
    if (remark < keys.size() && keys[remark] == '#') keys.erase(remark - blanks - 1, blanks);
    any = true;
  }
  if (!any) keys += key_line("address", toml_quoted(name + "/" + usual_key(candidate)));
  return keys;
}

void give_address(Tried& tried, std::string_view text) {
  Candidate& candidate = tried.candidate;
  constexpr std::string_view said = "# Key: what is before =.\n";
  const std::size_t at = candidate.keys.find(said);
  if (candidate.reader != ReaderKind::sections || at == std::string::npos) return;
  const Sample sample = look_at("part", text);
  const bool names = std::all_of(sample.code.begin(), sample.code.end(), [](const std::string& code) {
    const std::string_view key = reader::trim(std::string_view(code).substr(0, code.find('=')));
    return code.find('=') == std::string::npos || std::all_of(key.begin(), key.end(), reader::is_name_byte);
  });
  if (!names || candidate.keys.find("quoted ") != std::string::npos) return;
  candidate.reader = ReaderKind::assign;
  candidate.keys.replace(at, said.size(),
                         key_line("shape", toml_quoted("{key}={value}"), "how a row is written"));
}

void keep_apart(const std::vector<OriginalView>& originals, std::vector<std::vector<Tried>>& files) {
  constexpr std::size_t most = 200;  // each is compared with each
  std::vector<Member> members;
  for (std::size_t i = 0; i < files.size(); ++i) {
    std::vector<std::set<std::string>> found = addresses_of(originals[i], files[i]);
    for (std::size_t piece = 0; piece < found.size(); ++piece) {
      if (!found[piece].empty()) members.push_back({i, piece, std::move(found[piece]), false});
    }
  }
  if (members.size() > most) return;
  for (std::size_t a = 0; a < members.size(); ++a) {
    for (std::size_t b = a + 1; b < members.size(); ++b) {
      if (!share(members[a].addresses, members[b].addresses)) continue;
      members[a].clashes = members[b].clashes = true;
    }
  }
  std::set<std::string> names;
  for (const Member& member : members) {
    if (!member.clashes) continue;
    Tried& tried = files[member.file][member.piece];
    std::string name = name_of(originals[member.file], tried.piece);
    for (int n = 2; !names.insert(name).second; ++n)
      name = fmt::format("{}-{}", name_of(originals[member.file], tried.piece), n);
    tried.candidate.keys = with_prefix(tried.candidate, name);
    tried.candidate.guesses.push_back(
        {fmt::format("{} in front: another table has the same numbers", name), "address"});
  }
}

}  // namespace keepway::layout
