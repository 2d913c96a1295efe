// Programs put in, exchanged and taken out whole.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "keepway/compose.hpp"
#include "restore/edits.hpp"
#include "restore/wanted_changes.hpp"

namespace keepway::restore {

class ProgramEdits {
 public:
  // All must outlive this.
  ProgramEdits(const ComposeInput& input, const Reading& now, Edits& edits);

  // Each adds to the edits, or says why it cannot be. Removals first, so that their files' names are free.
  std::optional<Refusal> remove(const WantedChange& change);
  std::optional<Refusal> exchange(const WantedChange& change);
  std::optional<Refusal> add(const WantedChange& change);
  // To be called once, when all are in: makes the files that new programs have of their own.
  void finish();

  // Whether an unread row may come or go: it is in the text of a program that was asked for.
  [[nodiscard]] bool may_differ(const std::string& unread_key) const { return unread_.contains(unread_key); }

 private:
  // What is in each file of a set, so that no question takes a walk over all of it.
  struct FilesOf {
    explicit FilesOf(const Reading& reading);
    std::vector<std::vector<const ProgramFacts*>> programs;  // in the file's order
    std::vector<std::vector<const Origin*>> unread;          // of the programs' group, in the file's order
    std::vector<bool> values;                                // whether tables are there too
  };
  struct DonorRead {
    explicit DonorRead(Reading&& read) : reading(std::move(read)), files(reading) {}
    Reading reading;
    FilesOf files;
  };
  struct Donation {
    std::size_t donor = 0;
    const ProgramFacts* facts = nullptr;
    std::string text;  // without parity
  };
  struct Host {
    std::optional<std::uint32_t> file;  // of the newest set; none: a file of its own
    std::string why;                    // when there is no place at all
  };

  std::optional<Donation> find_donation(const WantedChange& change, bool& other_text);
  [[nodiscard]] const DonorRead& donor(std::size_t index);
  [[nodiscard]] Host find_host(const Donation& donation);
  void index_hosts();
  void note_unread(const FilesOf& files, const Span& span);
  [[nodiscard]] Refusal refusal(const WantedChange& change, std::string why, std::string remedy = {}) const;

  const ComposeInput& input_;
  const Reading& now_;
  Edits& edits_;
  FilesOf files_;                                   // of the newest set
  std::vector<std::unique_ptr<DonorRead>> donors_;  // read when first asked for
  // Files that stay when removals are in: by name in lower case, and the one with most programs, if over one.
  bool hosts_known_ = false;
  std::map<std::string, std::uint32_t> host_by_name_;
  std::optional<std::uint32_t> largest_;
  std::set<std::string> unread_;
  // Programs kept in each new file: donor and its file, to programs.
  std::map<std::pair<std::size_t, std::uint32_t>, std::set<std::string>> new_files_;
};

}  // namespace keepway::restore
