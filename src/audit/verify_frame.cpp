// HEAD, refs and logs, read as files: what is around the objects.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "audit/verify.hpp"
#include "git/folder.hpp"
#include "git/raw_object.hpp"
#include "store/impl.hpp"

namespace keepway::store {
namespace fs = std::filesystem;
namespace {

std::optional<std::string> read_file(const fs::path& root, const std::string& path) {
  try {
    return Folder(root).read(path);
  } catch (const Error&) {
    return std::nullopt;  // what cannot be read is reported as not whole
  }
}

bool is_ref_name(const std::string& name) {
  int valid = 0;
  return name.find('\0') == std::string::npos && git_reference_name_is_valid(&valid, name.c_str()) == 0 &&
         valid != 0;
}

// "ID\n", or "ref: NAME\n" of which nothing is asked here.
std::optional<git_oid> read_ref_text(const std::string& text) {
  if (text.size() != oid_digits + 1 || text.back() != '\n') return std::nullopt;
  return parse_hex(std::string_view(text).substr(0, oid_digits));
}

struct LogEnds {
  bool whole = true;
  std::optional<git_oid> before;
  std::optional<git_oid> last;
};

// The ids of an entry that is behind another on its line, whose line end was lost or which was cut off in
// the middle: two ids side by side, but those that begin the line.
std::optional<std::pair<git_oid, git_oid>> hidden_entry(std::string_view line) {
  constexpr std::size_t own = oid_digits;  // the blank between the line's own ids
  for (std::size_t at = line.find(' '); at != std::string_view::npos; at = line.find(' ', at + 1)) {
    if (at <= own || !line.substr(std::min(at + 1 + oid_digits, line.size())).starts_with(' ')) continue;
    const auto before = parse_hex(line.substr(at - oid_digits, oid_digits));
    const auto after = parse_hex(line.substr(at + 1, oid_digits));
    if (before && after) return std::pair{*before, *after};
  }
  return std::nullopt;
}

// "OLD NEW Name <mail> TIME ZONE[\tMESSAGE]\n": form, and that each line goes on where the last ended, or
// where it began: Git writes the log before it moves the ref, and may be cut off between.
LogEnds read_log(std::string_view text) {
  constexpr std::size_t ids = 2 * (oid_digits + 1);
  LogEnds ends;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    const std::string_view line = text.substr(0, end);
    const auto before = parse_hex(line.substr(0, oid_digits));
    const auto after =
        line.size() > ids ? parse_hex(line.substr(oid_digits + 1, oid_digits)) : std::optional<git_oid>();
    const auto hidden = hidden_entry(line);
    const bool formed = end != std::string_view::npos && before && after && line[oid_digits] == ' ' &&
                        line[ids - 1] == ' ' && line.find("> ", ids) != std::string_view::npos && !hidden;
    const auto goes_on = [&] {
      // The first line begins with nothing, unless Git has let older ones expire.
      if (!ends.last) return git_oid_is_zero(&*before) != 0;
      return git_oid_equal(&*ends.last, &*before) != 0 ||
             (ends.before && git_oid_equal(&*ends.before, &*before) != 0);
    };
    if (!formed || !goes_on()) ends.whole = false;
    if (hidden) {
      std::tie(ends.before, ends.last) = *hidden;
    } else if (after) {
      ends.before = before;
      ends.last = after;
    }
    if (end == std::string_view::npos) break;
    text.remove_prefix(end + 1);
  }
  return ends;
}

using FoundRefs = std::map<std::string, FoundRef>;

void read_packed(const fs::path& git_folder, FoundRefs& refs, Findings& findings) {
  const auto text = read_file(git_folder, "packed-refs");
  if (!text) return;
  bool whole = text->empty() || text->back() == '\n';
  bool may_peel = false;
  std::string_view rest = *text;
  std::string last;
  while (!rest.empty()) {
    const std::size_t end = std::min(rest.find('\n'), rest.size());
    const std::string_view line = rest.substr(0, end);
    const bool first = rest.data() == text->data();
    rest.remove_prefix(std::min(end + 1, rest.size()));
    if (first && line.starts_with('#')) {
      // Git's own header, word for word; libgit2 leaves out what it does not promise.
      whole =
          whole && (line == "# pack-refs with: peeled fully-peeled sorted " ||
                    line == "# pack-refs with: peeled fully-peeled " || line == "# pack-refs with: peeled ");
      continue;
    }
    if (line.starts_with('^')) {
      const auto peeled = parse_hex(line.substr(1));
      whole = whole && may_peel && peeled;
      if (may_peel && peeled) refs[last].peeled = peeled;
      may_peel = false;
      continue;
    }
    const auto id = parse_hex(line.substr(0, std::min(oid_digits, line.size())));
    const std::string name(line.size() > oid_digits ? line.substr(oid_digits + 1) : std::string_view());
    may_peel = false;
    if (!id || line.size() <= oid_digits || line[oid_digits] != ' ' || !is_ref_name(name) || name <= last) {
      whole = false;
      continue;
    }
    last = name;
    may_peel = true;
    refs[name] = {name, id, {}, {}};
  }
  if (!whole) {
    findings.push_back({Concern::damage, "refs-damaged", ".git/packed-refs",
                        "the file of packed refs is malformed",
                        "compare it with a clone's: 'git ls-remote CLONE'"});
  }
}

void read_loose(const fs::path& git_folder, FoundRefs& refs, Findings& findings) {
  std::error_code failed;
  for (const auto& entry : fs::recursive_directory_iterator(git_folder / "refs", failed)) {
    if (entry.is_directory(failed) && !entry.is_symlink(failed)) continue;
    const std::string name = entry.path().lexically_relative(git_folder).string();
    if (name.ends_with(".lock")) continue;
    const auto text = read_file(git_folder, name);
    const auto id = text ? read_ref_text(*text) : std::nullopt;
    // What remotes have is followed by a symbolic ref of theirs.
    if (!id && text && text->starts_with("ref: refs/remotes/") && name.starts_with("refs/remotes/")) continue;
    refs[name] = {name, id, {}, {}};
    if (id && is_ref_name(name)) continue;
    findings.push_back({Concern::damage, "ref-damaged", printable(".git/" + name),
                        "it does not hold the id of a commit",
                        "repair it from a clone: keepway audit MACHINE --from CLONE"});
  }
}

void check_log(const fs::path& git_folder, FoundRef& ref, Findings& findings) {
  const std::string path = "logs/" + ref.name;
  const auto text = read_file(git_folder, path);
  if (!text || text->empty()) return;
  const LogEnds ends = read_log(*text);
  ref.logged = ends.last;
  if (!ends.whole) {
    findings.push_back({Concern::note, "log-damaged", printable(".git/" + path),
                        "Git's log of this ref is malformed, or has a gap",
                        "no backup is affected; 'git reflog' shows what is left of it"});
  } else if (ref.id && ends.last && git_oid_equal(&*ref.id, &*ends.last) == 0) {
    // The log is written first: then a program was cut off, and the move has not happened.
    const bool cut_off = ends.before && git_oid_equal(&*ref.id, &*ends.before) != 0;
    findings.push_back(
        {cut_off ? Concern::note : Concern::look, "ref-moved", printable(ref.name),
         fmt::format("it points to {}, but its log says {}", oid_text(*ref.id), oid_text(*ends.last)),
         "see who moved it: 'git reflog' in the machine's folder"});
  }
}

}  // namespace

const FoundRef* Frame::ref(std::string_view name) const {
  const auto found =
      std::find_if(refs.begin(), refs.end(), [&](const FoundRef& each) { return each.name == name; });
  return found == refs.end() ? nullptr : &*found;
}

Frame read_frame(const fs::path& git_folder, Findings& findings) {
  start_library();
  Frame frame;
  FoundRefs refs;
  read_packed(git_folder, refs, findings);
  read_loose(git_folder, refs, findings);
  for (auto& [name, ref] : refs) {
    check_log(git_folder, ref, findings);
    frame.refs.push_back(ref);
  }
  const std::string head = read_file(git_folder, "HEAD").value_or("");
  constexpr std::string_view symbolic = "ref: ";
  if (head.starts_with(symbolic) && head.ends_with('\n')) {
    frame.head = head.substr(symbolic.size(), head.size() - symbolic.size() - 1);
    frame.head_whole = frame.ref(frame.head) != nullptr;
  } else if (const auto id = read_ref_text(head)) {
    frame.head_commit = id;
    frame.head_whole = true;
    findings.push_back({Concern::look, "head-detached", ".git/HEAD", "no branch is checked out",
                        "go back to the machine's own branch: 'git checkout main' in its folder"});
  }
  if (!frame.head_whole) {
    findings.push_back({Concern::damage, "head-damaged", ".git/HEAD",
                        "it names no existing branch, so nothing can be read or stored",
                        "point it at the machine's own branch: 'git symbolic-ref HEAD refs/heads/main'"});
    frame.head.clear();
  }
  if (const auto text = read_file(git_folder, "logs/HEAD"); text && !text->empty()) {
    const LogEnds ends = read_log(*text);
    const FoundRef* line = frame.head.empty() ? nullptr : frame.ref(frame.head);
    const auto stands = line != nullptr ? line->id : frame.head_commit;
    const bool leads_here = !stands || (ends.last && git_oid_equal(&*stands, &*ends.last) != 0);
    if (!ends.whole || !leads_here)
      findings.push_back({Concern::note, "log-damaged", ".git/logs/HEAD",
                          "Git's log of what was checked out is malformed, has a gap, or ends elsewhere",
                          "no backup is affected; 'git reflog' shows what is left of it"});
  }
  return frame;
}

}  // namespace keepway::store
