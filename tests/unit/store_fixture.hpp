// A repository in a temporary folder, and the git program as the reference to check it against.
#pragma once

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "keepway/store.hpp"

namespace keepway::store {

class StoreTest : public testing::Test {
 protected:
  StoreTest() {
    std::string pattern = (std::filesystem::temp_directory_path() / "store-test-XXXXXX").string();
    if (mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("no temporary folder");
    top_ = pattern;
    folder_ = top_ / "mill";
  }
  ~StoreTest() override {
    std::error_code ignored;
    std::filesystem::remove_all(top_, ignored);
  }

  // Runs git in the repository with no configuration but its own; fails the test when git does.
  std::string git(const std::string& arguments) const { return git_in(folder_, arguments); }
  static std::string git_in(const std::filesystem::path& folder, const std::string& arguments) {
    const std::string command = "cd '" + folder.string() +
                                "' && GIT_CONFIG_GLOBAL=/dev/null GIT_CONFIG_NOSYSTEM=1 git " + arguments +
                                " 2>&1";
    std::FILE* pipe = popen(command.c_str(), "r");
    std::string out;
    for (int c = std::fgetc(pipe); c != EOF; c = std::fgetc(pipe)) out += static_cast<char>(c);
    const int status = pclose(pipe);
    EXPECT_EQ(status, 0) << command << "\n" << out;
    return out;
  }
  // A Git program that is at work in the repository for as long as this lives.
  class LivingGit {
   public:
    LivingGit(const std::filesystem::path& folder, const std::filesystem::path& said)
        : pipe_(popen(
              ("cd '" + folder.string() + "' && exec git cat-file --batch >'" + said.string() + "'").c_str(),
              "w")) {
      std::fputs("HEAD\n", pipe_);
      std::fflush(pipe_);
      std::error_code absent;
      for (int i = 0; i < 1000 && (std::filesystem::file_size(said, absent) == 0 || absent); ++i)
        usleep(10'000);  // it has answered: it is Git by now
    }
    ~LivingGit() { pclose(pipe_); }
    LivingGit(const LivingGit&) = delete;
    LivingGit& operator=(const LivingGit&) = delete;

   private:
    std::FILE* pipe_;
  };
  // All objects in files of their own, as plain Git stores the few of a commit.
  void loosen() const {
    const std::filesystem::path packs = folder_ / ".git/objects/pack";
    std::filesystem::rename(packs, top_ / "packs");
    std::filesystem::create_directory(packs);
    for (const auto& entry : std::filesystem::directory_iterator(top_ / "packs")) {
      if (entry.path().extension() == ".pack") git("unpack-objects -q <'" + entry.path().string() + "'");
    }
  }
  void expect_sound() const {
    EXPECT_EQ(git("fsck --strict --no-progress --no-dangling"), "");
    EXPECT_EQ(git("status --porcelain"), "");
  }

  static NewCommit said(const std::string& summary, std::int64_t at = 1000) {
    NewCommit commit;
    commit.summary = summary;
    commit.author = "Ida Turner";
    commit.at = at;
    commit.taken = at + 60;
    return commit;
  }
  Repository made() const {
    return Repository::create(folder_, {{"machine.toml", "serial = \"1\"\n"}, {"layout.toml", "[a]\n"}},
                              said("Enroll the mill"));
  }
  static Oid add(Repository& repository, const std::vector<TreeFile>& files,
                 const std::string& summary = "Backup") {
    return repository.add("main", {"state/", "originals/"}, files, said(summary));
  }

  std::string on_disk(const std::string& path) const {
    std::ifstream in(folder_ / path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }
  void put_on_disk(const std::string& path, const std::string& bytes) const {
    std::filesystem::create_directories((folder_ / path).parent_path());
    std::ofstream(folder_ / path, std::ios::binary) << bytes;
  }
  std::size_t packs() const {
    std::size_t count = 0;
    const auto packs_folder = folder_ / ".git/objects/pack";
    if (!std::filesystem::exists(packs_folder)) return 0;
    for (const auto& entry : std::filesystem::directory_iterator(packs_folder)) {
      if (entry.path().extension() == ".pack") ++count;
    }
    return count;
  }

  // The kind of the Error that `act` throws, if any.
  template <typename Act>
  static std::optional<ErrorKind> failure_of(Act act) {
    try {
      act();
    } catch (const Error& error) {
      EXPECT_FALSE(error.remedy().empty());
      return error.kind();
    }
    return std::nullopt;
  }

  std::filesystem::path top_;
  std::filesystem::path folder_;
};

}  // namespace keepway::store
