// libgit2's handles as owners, its failures as Errors.
#pragma once

#include <git2.h>

#include <filesystem>
#include <memory>
#include <string>
#include <string_view>

#include "keepway/commit.hpp"
#include "keepway/error.hpp"
#include "keepway/text.hpp"

namespace keepway::store {

// What to do where something stored is lost.
inline constexpr const char* lost_remedy =
    "see what it touches, and what can still be had, with 'keepway audit MACHINE'; repair it from a clone "
    "(--from CLONE), or save what is left (--rescue FOLDER)";

template <auto Free>
struct Freed {
  template <typename T>
  void operator()(T* handle) const {
    Free(handle);
  }
};
using RepoHandle = std::unique_ptr<git_repository, Freed<git_repository_free>>;
using OdbHandle = std::unique_ptr<git_odb, Freed<git_odb_free>>;
using OdbObjectHandle = std::unique_ptr<git_odb_object, Freed<git_odb_object_free>>;
using CommitHandle = std::unique_ptr<git_commit, Freed<git_commit_free>>;
using TreeHandle = std::unique_ptr<git_tree, Freed<git_tree_free>>;
using TreeEntryHandle = std::unique_ptr<git_tree_entry, Freed<git_tree_entry_free>>;
using ObjectHandle = std::unique_ptr<git_object, Freed<git_object_free>>;
using TagHandle = std::unique_ptr<git_tag, Freed<git_tag_free>>;
using RefHandle = std::unique_ptr<git_reference, Freed<git_reference_free>>;
using RefIteratorHandle = std::unique_ptr<git_reference_iterator, Freed<git_reference_iterator_free>>;
using IndexHandle = std::unique_ptr<git_index, Freed<git_index_free>>;
using ConfigHandle = std::unique_ptr<git_config, Freed<git_config_free>>;
using SignatureHandle = std::unique_ptr<git_signature, Freed<git_signature_free>>;

// The line that keepway keeps.
inline constexpr const char* main_ref = "refs/heads/main";

// Starts libgit2 once for the process, with synced writes. It is never shut down: other code of the
// process may use libgit2 too.
void start_library();

// The repository in the folder itself, with or without a work tree, its objects guarded (see guard.hpp).
// Error{store} when there is none.
RepoHandle open_repository(const std::filesystem::path& folder);

// Throws Error{store} for a negative code: "cannot DOING: libgit2's message", and what to do.
void check(int code, std::string_view doing);
// The same for a failed system call.
[[noreturn]] void fail_disk(int error_number, std::string_view doing);

// Calls a libgit2 function that gives a handle through its first parameter.
template <typename Handle, typename Function, typename... Args>
Handle take(std::string_view doing, Function function, Args... args) {
  typename Handle::pointer raw = nullptr;
  check(function(&raw, args...), doing);
  return Handle(raw);
}

inline constexpr std::size_t oid_digits = 40;
Oid oid_text(const git_oid& id);
inline bool same(const git_oid& a, const git_oid& b) {
  return git_oid_equal(&a, &b) != 0;
}
// Error{usage} when it is not 40 hex digits.
git_oid parse_oid(std::string_view text);

}  // namespace keepway::store
