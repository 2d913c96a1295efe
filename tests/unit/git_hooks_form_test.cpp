// The files that a machine's repository has.
#include <gtest/gtest.h>

#include "git_hooks/tree_check.hpp"

namespace keepway {
namespace {

TEST(RepositoryForm, TheFilesOfARepositoryAreOfTheForm) {
  for (const char* path : {"machine.toml", "layout.toml", "namebook.tsv", ".gitattributes",
                           "state/offsets.tsv", "state/carried.tsv", "state/programs/O01234.nc",
                           "originals/mill.var", "originals/sub/%2Egit/config"}) {
    EXPECT_TRUE(is_of_the_form(path)) << path;
  }
  for (const char* path : {"README.md", "state", "state/", "originals", "originals/", "state/other.tsv",
                           "state/programs/", "originals/a\\b", "originals/%2e", "originals/%2E%2E%2Fx",
                           "originals/con", "machine.toml/x", "Machine.toml"}) {
    EXPECT_FALSE(is_of_the_form(path)) << path;
  }
}

}  // namespace
}  // namespace keepway
