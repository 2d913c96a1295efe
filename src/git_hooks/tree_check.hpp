// What makes a tree true: files of the form, in normal form, and a state that follows from the originals.
#pragma once

#include <string>
#include <vector>

#include "keepway/hooks.hpp"
#include "keepway/machine.hpp"
#include "store/repository_view.hpp"

namespace keepway {

using Entries = std::vector<store::ViewEntry>;

// Whether both have the same files below a folder ("state/").
bool same_below(const Entries& a, const Entries& b, std::string_view folder);
// Files below originals/ as they came off the control.
media::Set originals_of(const store::RepositoryView& view, const Entries& entries);

// Whether a path is one of the files that a machine's repository has: the one list of them.
bool is_of_the_form(const std::string& path);

class TreeCheck {
 public:
  explicit TreeCheck(const store::RepositoryView& view) : view_(view) {}
  // `parents`: trees that the commit grows from, `ids` their commits. What they have is not checked again.
  // `other_reader`: a reader of another version made the state, so that the present one may make it
  // otherwise. Nobody trusts such a state: wherever it is asked for, it is read again from the originals.
  std::vector<Fault> operator()(const Entries& now, const std::vector<Entries>& parents,
                                const std::vector<store::Oid>& ids, bool other_reader = false);

 private:
  void check_form(const Entries& now);
  void check_owner_files(const Entries& now, const std::vector<Entries>& parents);
  bool check_normal_form(const Entries& now, const std::vector<Entries>& parents);
  void check_follows(const Entries& now, const std::vector<Entries>& parents,
                     const std::vector<store::Oid>& ids);
  // What the originals give, with the items that other commits' originals carry (state/carried.tsv) put in.
  State with_carried(const Entries& now, State follows, const State& is, const std::vector<store::Oid>& ids);
  // Whether each item of the state is in one of the sides: how Git's own merge may put it together.
  [[nodiscard]] bool is_merge_of(const State& now, const std::vector<Entries>& sides) const;
  void compare(const std::vector<StateFile>& is, const std::vector<StateFile>& follows);
  [[nodiscard]] std::vector<StateFile> state_files(const Entries& entries) const;
  [[nodiscard]] std::string text(const Entries& entries, const std::string& path) const;
  void fault(Place place, const std::string& what);

  const store::RepositoryView& view_;
  std::vector<Fault> faults_;
};

}  // namespace keepway
