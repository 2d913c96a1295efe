#include "keepway/compose.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "reader/read_set.hpp"
#include "restore/edits.hpp"
#include "restore/program_edit.hpp"
#include "restore/value_edit.hpp"
#include "restore/wanted_changes.hpp"

namespace keepway {
namespace {

using restore::Edits;
using restore::ProgramEdits;
using restore::WantedChange;

constexpr std::size_t max_listed = 5;

std::string shown(const std::optional<std::string>& value) {
  return value ? "'" + escape(value->substr(0, 60)) + "'" : "nothing";
}

Refusal mismatch(Address address, std::string why) {
  return {std::move(address), std::move(why), "put the whole file back instead, by its group", {}};
}

// What the result holds and should not, or the other way round.
std::vector<Refusal> find_mismatches(const State& wanted, const State& newest, const Reading& got,
                                     const ProgramEdits& programs) {
  static const Table none;
  std::vector<Refusal> out;
  for (const Group group : all_groups) {
    const bool is_programs = group == Group::programs;
    const auto& is = got.state.table(group);
    const auto& should = is_programs ? newest.table(group) : wanted.table(group);
    for (const ValueChange& change : compare_tables(group, should ? *should : none, is ? *is : none)) {
      if (is_programs && programs.may_differ(change.key)) continue;
      out.push_back(mismatch({group, change.key}, fmt::format("read back, it would hold {} rather than {}",
                                                              shown(change.after), shown(change.before))));
    }
    if (!is_programs && should.has_value() != is.has_value()) {
      out.push_back(mismatch({group, ""}, "read back, the whole group would appear or disappear"));
    }
  }
  for (const WantedChange& change : restore::program_differences(wanted.programs, got.state.programs)) {
    out.push_back(mismatch(change.address, !change.after ? "read back, it would be missing"
                                           : !change.before
                                               ? "read back, it would be there, and it should not"
                                               : "read back, it would have a different text"));
  }
  return out;
}

// Files' edits for all changes; those that cannot be are taken out of `changes`.
void edit_all(const ComposeInput& input, const Reading& now, std::vector<WantedChange>& changes, Edits& edits,
              ProgramEdits& programs, std::vector<Refusal>& refused) {
  std::vector<bool> failed(changes.size(), false);
  const auto run = [&](const auto& chosen, const auto& edit) {
    for (std::size_t i = 0; i < changes.size(); ++i) {
      if (!chosen(changes[i])) continue;
      std::optional<Refusal> refusal = edit(changes[i]);
      if (!refusal) continue;
      refused.push_back(*std::move(refusal));
      failed[i] = true;
    }
  };
  const auto is_program = [](const WantedChange& change) { return change.address.group == Group::programs; };
  run([&](const WantedChange& change) { return !is_program(change); },
      [&](const WantedChange& change) { return restore::edit_value(change, input, now, edits); });
  run([&](const WantedChange& change) { return is_program(change) && !change.after; },
      [&](const WantedChange& change) { return programs.remove(change); });
  run([&](const WantedChange& change) { return is_program(change) && change.before && change.after; },
      [&](const WantedChange& change) { return programs.exchange(change); });
  run([&](const WantedChange& change) { return is_program(change) && !change.before; },
      [&](const WantedChange& change) { return programs.add(change); });
  programs.finish();
  std::size_t kept = 0;
  for (std::size_t i = 0; i < changes.size(); ++i) {
    if (failed[i]) continue;
    if (kept != i) changes[kept] = std::move(changes[i]);
    ++kept;
  }
  changes.resize(kept);
}

}  // namespace

Composed compose_possible(const ComposeInput& input) {
  Reading now = read_set(input.newest, input.layout, input.context);
  std::vector<WantedChange> changes = restore::wanted_changes(now.state, input.target, input.asked);
  Composed out;
  Edits edits(input.newest, now);
  ProgramEdits programs(input, now, edits);
  edit_all(input, now, changes, edits, programs, out.refused);
  if (std::optional<Edits::Result> result = edits.apply()) {
    out.set = std::move(result->set);
    out.touched = std::move(result->touched);
    out.dropped = std::move(result->dropped);
    out.reading = read_set(out.set, input.layout, input.context);
    const State wanted = restore::apply(now.state, changes);
    std::vector<Refusal> wrong = find_mismatches(wanted, now.state, out.reading, programs);
    if (wrong.empty()) {
      out.changes = compare(now.state, out.reading.state);
      return out;
    }
    std::move(wrong.begin(), wrong.end(), std::back_inserter(out.refused));
  } else {
    for (const WantedChange& change : changes) {
      out.refused.push_back(
          mismatch(change.address, "its bytes and those of another item asked for overlap"));
    }
  }
  out.set = input.newest;
  out.reading = std::move(now);
  out.touched.clear();
  out.dropped.clear();
  return out;
}

Composed compose(const ComposeInput& input) {
  Composed out = compose_possible(input);
  if (out.refused.empty()) return out;
  std::string what;
  for (std::size_t i = 0; i < out.refused.size() && i < max_listed; ++i) {
    const Refusal& refusal = out.refused[i];
    what += fmt::format("{}{}: {}", i == 0 ? "" : "; ", escape(refusal.address.text()), refusal.why);
  }
  if (out.refused.size() > max_listed) what += fmt::format("; and {} more", out.refused.size() - max_listed);
  throw Error(ErrorKind::refused, "cannot be put back by itself: " + what, out.refused.front().remedy,
              out.refused.front().place);
}

}  // namespace keepway
