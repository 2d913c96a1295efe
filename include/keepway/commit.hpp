// What Git keeps of a machine, as plain facts: ids, the files of a tree, commits with their trailers.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "keepway/on_progress.hpp"
#include "keepway/sha256.hpp"

namespace keepway::store {

using Oid = std::string;  // 40 hex digits

// A file of the tree to commit; `path` is a clean relative path of the repository's form.
struct TreeFile {
  std::string path;
  std::string_view bytes;                    // must live until add() returns
  std::optional<Sha256> sum = std::nullopt;  // of the bytes, where it is known
};

using Trailers = std::vector<std::pair<std::string, std::string>>;

struct NewCommit {
  std::string summary;                 // one line, in the trade's words
  std::string body;                    // may be empty
  Trailers trailers;                   // "Keepway-Verdict", "good"; values are kept on one line by escapes
  std::string author;                  // who; the e-mail is taken from Git's configuration
  std::int64_t at = 0;                 // author date: the time of the backup (UTC), 1970 to 9999
  std::int64_t taken = 0;              // committer date: the time of intake (UTC), 1970 to 9999
  std::vector<Oid> also_parents = {};  // further parents of a merge, after the line's own tip
  // The tip that this was made for: add() refuses (Error{store}) when another commit has come in since.
  // Empty: any.
  Oid onto = {};
  OnProgress on_progress = {};  // of the objects that are stored, then of the files in the folder
};
// What is read back equals what was given, but for this: in the summary, line ends and control bytes
// are spaces; in the body, CR LF is LF, other control bytes are '?', blank lines at its ends go; in
// names, `<`, `>` and control bytes go. An empty summary or name becomes "(no summary)", "unknown".

struct CommitInfo {
  Oid id;
  std::vector<Oid> parents;
  std::string summary;
  std::string body;  // without the trailers
  Trailers trailers;
  std::string author;
  std::int64_t at = 0;
  std::int64_t taken = 0;
  // A backup's message on a commit that Git made of it, by rebase or cherry-pick: it is no backup.
  bool rewritten = false;

  // First value of a trailer, or empty.
  [[nodiscard]] std::string_view trailer(std::string_view name) const;
};

struct Blob {
  std::string path;
  Oid id;
};

}  // namespace keepway::store
