// Sync: a machine's repository and a copy of it elsewhere, on any Git remote, brought to the same.
//
// One line. Backups that two PCs took in apart are put on one line: those that the remote has stay as
// they are, for others have them; ours that it lacks are rebased onto its tip in order of date, as new
// commits with the same originals, dates and people, numbered on. Rebasing is a function of what is rebased
// and of where, so that it can be repeated; the commits rebased stay under refs/keepway/archive/.
// Nothing that was ever published is rewritten, and nothing is lost.
//
// Trials follow whichever side moved; marks and archive refs are joined. What differs on both sides and
// cannot be joined is left as it is and reported (`attention`).
//
// Safe to cut off at any point, and to begin again: objects come before refs, and the line moves last.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "keepway/clashes.hpp"
#include "keepway/error.hpp"

namespace keepway {

struct SyncProgress {
  std::string_view step;    // "receiving", "checking", "sending"
  std::uint64_t done = 0;   // objects
  std::uint64_t total = 0;  // 0 when not known yet
  std::uint64_t bytes = 0;
};

struct SyncOptions {
  std::string remote;  // a remote's name or a URL; empty: "origin"
  std::string to;      // the URL that the remote gets, when not empty
  // Takes what a server's hook would refuse, and a history that was rewritten there: an older repository, or
  // one that other programs wrote to. What could do harm is refused all the same.
  bool accept = false;
  // Who has edited the owner's files here (see Machine::record_edits), and when that is recorded; 0: it is
  // not, and an edit that would be lost is refused.
  std::string by = {};
  std::int64_t now = 0;
  std::function<void(const SyncProgress&)> progress;  // may be empty
};

struct SyncAnswer {
  std::string url;                    // as shown to people: without a password
  std::vector<std::string> recorded;  // the owner's files whose edits were committed first
  std::size_t received = 0;           // commits that came onto the line
  std::size_t sent = 0;               // commits of the line that went
  std::size_t rebased = 0;            // of those sent, rebased onto what others had sent
  std::size_t twice = 0;              // ours that the remote had already: the same files of the same time
  // Ours whose number another backup has on the line: as it was, and as it is now.
  std::vector<std::pair<std::string, std::string>> renumbered;
  std::vector<std::string> came;  // refs beside the line: "mark known_good", "trial warm-up"
  std::vector<std::string> went;
  std::vector<std::string> attention;  // one line each: what differs on both sides and could not be joined
  std::vector<EditClash> clashes;      // of edits, those that nobody chose yet
};

// Syncs the machine in `folder`. With `options.to`, a folder that is not there yet is made from the remote.
// Error{store} when the remote cannot be reached, does not know us, or is not to be trusted; Error{refused}
// when an edit by hand would be lost, the remote holds another machine, or what it sent could do harm or is
// not what a machine's repository holds (then nothing of it stays here); Error{usage} without a remote.
//
// Who we are, in this order; keepway stores none of it, and sends no password but over TLS or to loopback:
//   ssh    $KEEPWAY_SSH_KEY (a private key's file; $KEEPWAY_SSH_PASSPHRASE), ssh-agent, ~/.ssh/id_ed25519
//          and id_ecdsa without a passphrase. The host's key must be in ~/.ssh/known_hosts.
//   https  $KEEPWAY_GIT_USER and $KEEPWAY_GIT_PASSWORD, else what the credential helpers of Git's
//          configuration answer (they can ask nobody; one that needs a shell is not asked). The certificate
//          must be good by the system's authorities, or by $GIT_SSL_CAINFO or Git's http.sslCAInfo.
SyncAnswer sync(const std::filesystem::path& folder, const SyncOptions& options);

namespace store {
// Whether a folder is not there, or holds nothing but what a first sync that was cut off left.
bool only_git_in(const std::filesystem::path& folder);
}  // namespace store

// Puts a machine's line in order after `git rebase`, `git pull --rebase` or `git cherry-pick` made commits of
// its backups that are none: the backups that they were made of are rebased onto the line as sync does it.
// What is on a remote already is not rewritten: there they are put on top. Error{refused} when an edit by
// hand would be lost.
struct InOrder {
  std::size_t rebased = 0;
  std::size_t lost = 0;                // whose backups are not to be found here
  std::vector<std::string> attention;  // one line each
};
InOrder put_in_order(const std::filesystem::path& folder);

}  // namespace keepway
