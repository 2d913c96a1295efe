// What differs below `state/` from one commit to the next, read from Git. `state/carried.tsv` is left out:
// its rows are no items.
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "keepway/index.hpp"

namespace keepway::store {

// Goes along a line from old to new and keeps what it read of the last commit for the next.
class StateWalk {
 public:
  explicit StateWalk(const Repository& repository, Index::MadeAgain again = {})
      : repository_(repository), again_(std::move(again)) {}
  // Takes a commit as the one before, without telling what it changed.
  void begin(const Oid& commit);
  // Changes against the commit before; all of it when there was none.
  std::vector<Change> step(const Oid& commit);

 private:
  struct Seen {
    std::map<std::string, Oid> files;          // path to blob
    std::map<std::string, std::string> texts;  // of tables, by path
    std::optional<Oid> tree;
  };
  Seen see(const Oid& commit, const Seen& before) const;
  Seen see_stored(const Oid& commit, const Seen& before) const;
  const Repository& repository_;
  Index::MadeAgain again_;
  Seen last_;
};

// Rows of a table that differ, as changes of `path`. Of rows with one key the first counts.
void compare_rows(std::string_view path, std::string_view before, std::string_view after,
                  std::vector<Change>& out);

}  // namespace keepway::store
