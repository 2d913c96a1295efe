// One Git remote, a folder (folder_remote.hpp) or spoken to through libgit2: its refs, its objects, and its
// answers to a push.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "git/git.hpp"
#include "git/lock.hpp"
#include "keepway/sync.hpp"
#include "sync/folder_remote.hpp"
#include "sync/sync_credentials.hpp"

namespace keepway::store {

using RemoteHandle = std::unique_ptr<git_remote, Freed<git_remote_free>>;

class Remote {
 public:
  // By name or URL. Error{usage} when it is neither.
  Remote(git_repository& repo, const std::string& name_or_url, const SyncOptions& options);
  Remote(const Remote&) = delete;
  Remote& operator=(const Remote&) = delete;
  Remote(Remote&&) = delete;
  Remote& operator=(Remote&&) = delete;
  ~Remote();

  // All of these throw Error{store}, saying what to do, when the remote cannot be had.
  std::map<std::string, git_oid> refs();
  // Brings the objects of these refs, which it was asked for, here: from a folder into `packs`, which the
  // repository sees.
  void fetch(const std::vector<std::string>& refs, const std::filesystem::path& packs);
  // Of the objects of `from`: refspecs "what:ref", "" before the colon to remove it. Returns what was turned
  // down.
  std::vector<Rejection> push(git_repository& from, const std::vector<std::string>& refspecs);

  // Of a remote that is a folder, where nobody else will: lets its HEAD name main, see name_main_in_head().
  void name_main() const;

  [[nodiscard]] const std::string& name() const { return name_; }  // empty for a bare URL
  [[nodiscard]] std::string url() const { return git_remote_url(remote_.get()); }
  [[nodiscard]] const std::string& shown_url() const { return shown_url_; }
  // What the other side said, such as its hooks' reasons.
  [[nodiscard]] const std::string& said() const { return said_; }

 private:
  git_remote_callbacks callbacks();
  void connect();
  void check_remote(int code, std::string_view doing);

  static int on_certificate(git_cert* certificate, int valid, const char* host, void* self);
  static int on_said(const char* text, int length, void* self);
  static int on_received(const git_indexer_progress* progress, void* self);
  static int on_sent(unsigned done, unsigned total, std::size_t bytes, void* self);
  static int on_ref(const char* ref, const char* status, void* self);

  const SyncOptions& options_;
  RemoteHandle remote_;
  std::string name_;
  std::string shown_url_;
  std::string said_;
  Credentials credentials_;
  std::optional<Error> failure_;  // of a callback, through which no exception may pass
  std::vector<Rejection> rejections_;
  git_repository& repo_;
  std::optional<FolderRemote> folder_;
  std::optional<Lock> lock_;  // of a remote that is a folder: nobody else can guard it
};

}  // namespace keepway::store
