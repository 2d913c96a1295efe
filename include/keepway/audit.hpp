// Audit: whether what is stored is still what was stored, and what can be done where it is not.
//
// Trusts nothing but bytes: every object is read again and its digest computed again, the originals are held
// against the digest that their backup was stored with, the state is made again from them. It works on
// a repository that no other command can open any more. Without `from` it writes nothing, but for what
// any command does that opens a machine (finishing what a cut-off program left).
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/error.hpp"
#include "keepway/store.hpp"

namespace keepway {

enum class Concern {
  note,    // worth knowing; nothing to do
  look,    // a person should look: something changed that is not damage, or a derived copy is off
  damage,  // something stored is not what it was
};
std::string_view concern_name(Concern concern);

// A backup that a finding touches.
struct Affected {
  std::string line;  // "main", "trial/NAME", or the ref of an archived trial
  int number = 0;
  std::int64_t at = 0;
  store::Oid commit;
};

struct Finding {
  Concern concern = Concern::damage;
  std::string code;   // stable, for programs: "object-damaged"
  std::string where;  // file below the machine's folder, ref, or path in a backup; may be empty
  std::string what;
  std::string remedy;
  std::vector<Affected> backups = {};  // oldest first
};

struct Audit {
  std::string machine;
  std::size_t objects = 0;  // read whole
  std::uint64_t bytes = 0;  // in them
  std::size_t refs = 0;
  std::size_t backups = 0;            // whose originals were checked against their digest
  std::size_t derived = 0;            // states made again from originals
  std::vector<Finding> findings;      // heaviest first
  std::vector<std::string> repaired;  // what `from` repaired, for people
  [[nodiscard]] std::optional<Concern> worst() const;
};

struct AuditOptions {
  // A clone's folder, a remote's name or address: objects that are missing or damaged are taken from
  // there, where their digest fits. Empty: nothing is repaired.
  std::string from;
  std::function<void(std::string_view stage, std::size_t done, std::size_t total)> progress;
};

// Audits the machine in `folder`. Error{store} when another program writes there at the time, or when
// `from` cannot be read; Error{usage} when `folder` is no machine's.
Audit audit(const std::filesystem::path& folder, const AuditOptions& options);

// Takes all that can still be had out of a machine that may open with no command: each backup whose commit is
// whole as a folder of its originals, whether a line leads to it or not, those not whole as far as they are;
// the owner's files; and contents whose names are lost below `unnamed/`. `RESCUED.tsv` lists them. Writes
// nothing into the machine's folder. `to`: absent or empty, Error{refused} otherwise; it comes whole or not
// at all.
struct Rescued {
  std::size_t whole = 0;    // backups that fit the digest they were stored with
  std::size_t partly = 0;   // of which some files are lost
  std::size_t lost = 0;     // whose commit is there, and nothing else
  std::size_t unnamed = 0;  // files whose names are lost
};
Rescued rescue(const std::filesystem::path& folder, const std::filesystem::path& to,
               const AuditOptions& options);

// Makes the indexes of packs again that are damaged or gone, from packs that are whole; a damaged one is set
// aside. Returns how many. Needs no clone, and works where no command opens the machine any more.
// Error{store}.
std::size_t rebuild_pack_indexes(const std::filesystem::path& folder);

// Writes down Git's settings, hooks and remotes, and where the lines are: the next audit says what has
// changed since.
void settle(const std::filesystem::path& folder);

}  // namespace keepway
