// What the checks of one verdict share: the backup judged, and the baseline's files beside its own. The
// baseline's files are got, and read by the layout, only where a check asks: on most days none does.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/compare.hpp"
#include "keepway/verdict.hpp"
#include "verdict/lines.hpp"

namespace keepway::verdict {

using Reasons = std::vector<Reason>;

// A file of the backup beside the one that it was in the baseline: of the same name, else the only one of its
// source in both.
struct Pair {
  std::size_t now = 0;  // in the set
  std::size_t was = 0;  // in the baseline's files
  bool same = false;    // byte for byte
};

// A program whose text is not as in the baseline.
struct ChangedProgram {
  const Program& now;
  const Program* was = nullptr;  // null: the baseline has none of its name
  const std::vector<BlockChange>& blocks;
};

class Case {
 public:
  explicit Case(const JudgeInput& input);
  Case(const Case&) = delete;
  Case& operator=(const Case&) = delete;

  // What this backup is judged against; null when there is none.
  [[nodiscard]] const Previous* before() const {
    return input_.baseline != nullptr ? input_.baseline : input_.last;
  }
  [[nodiscard]] const JudgeInput& input() const { return input_; }
  // Values of the tables that both have, other than in the baseline, by group; none when there is no
  // baseline.
  [[nodiscard]] const std::vector<ValueChange>& changed() const { return changed_; }
  // In their order; none when there is no baseline.
  [[nodiscard]] const std::vector<ChangedProgram>& changed_programs() const { return changed_programs_; }
  [[nodiscard]] const std::vector<Pair>& pairs() const { return pairs_; }
  // nullptr for a file that the baseline had not.
  [[nodiscard]] const Pair* pair_of(std::size_t now) const;
  // Files of the baseline that have no counterpart now.
  [[nodiscard]] const std::vector<std::size_t>& gone() const { return gone_; }
  [[nodiscard]] bool knows_old_files() const { return input_.old_files != nullptr; }

  [[nodiscard]] const std::string& name_now(std::size_t file) const { return input_.set.files[file].name; }
  [[nodiscard]] const std::string& name_was(std::size_t file) const {
    return input_.old_files->list[file].name;
  }
  [[nodiscard]] std::string_view now(const Pair& pair) const { return input_.set.files[pair.now].bytes; }
  [[nodiscard]] std::string_view was(const Pair& pair);
  // Of the two as they came; several checks look through them.
  [[nodiscard]] const std::vector<TextLine>& lines_now(const Pair& pair);
  [[nodiscard]] const std::vector<TextLine>& lines_was(const Pair& pair);
  // The source of a file; null for one that none takes.
  [[nodiscard]] const Source* source_now(std::size_t file) const;
  [[nodiscard]] const Source* source_was(std::size_t file) const;

  // The baseline's file alone, as read by today's layout.
  [[nodiscard]] const Reading& reading_was(const Pair& pair);

  // The backup before this one, where it was taken after the baseline and independently of this one: what
  // both lack, the machine does not have. Else null.
  [[nodiscard]] const Previous* witness() const;
  // "#4" of the baseline, for sentences; "the last one" where it has no number.
  [[nodiscard]] std::string before_name() const;

 private:
  void find_changed();
  void pair_files();

  const JudgeInput& input_;
  std::optional<Changes> own_changes_;
  std::vector<ValueChange> changed_;
  std::vector<ChangedProgram> changed_programs_;
  std::vector<Pair> pairs_;
  std::vector<std::size_t> pair_at_;  // by file of the set: its place in pairs_, or npos
  std::vector<std::size_t> gone_;
  std::map<std::size_t, std::string> bytes_;
  std::map<std::size_t, std::vector<TextLine>> lines_now_;
  std::map<std::size_t, std::vector<TextLine>> lines_was_;
  std::map<std::size_t, Reading> readings_;
};

}  // namespace keepway::verdict
