// Time of add() for a large backup beside git's own `add -A` and `commit`, in the same run.
// Invented programs: 1,000 originals of 10 kB, as many near-equal normal forms, and tables.
#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "keepway/store.hpp"

namespace {

using keepway::store::TreeFile;

std::string program(unsigned number, const char* line_end) {
  std::string text = fmt::format("%{}O{:05}{}", line_end, number, line_end);
  unsigned seed = number * 2654435761U + 1;
  for (int n = 10; text.size() < 10'000; n += 10) {
    seed = seed * 1664525U + 1013904223U;
    text += fmt::format("N{} G01 X{}.{:03} Y-{}.{:03} F{}{}", n, seed >> 26U, seed >> 8U & 511U,
                        seed >> 20U & 63U, seed >> 3U & 511U, 5 + (seed >> 28U), line_end);
  }
  return text + "M30" + line_end + "%" + line_end;
}

double milliseconds(const auto& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
}

}  // namespace

int main() {
  using keepway::store::Repository;
  std::string top = (std::filesystem::temp_directory_path() / "store-bench-XXXXXX").string();
  if (mkdtemp(top.data()) == nullptr) return 1;
  std::vector<std::string> texts;
  std::vector<TreeFile> files;
  for (unsigned i = 0; i < 1000; ++i) {
    texts.push_back(program(i, "\r\n"));
    texts.push_back(program(i, "\n"));
  }
  for (unsigned i = 0; i < 10; ++i) {
    texts.emplace_back();
    for (unsigned row = 0; row < 400; ++row)
      texts.back() += fmt::format("{}\t{}.{}\n", row, row * 7 + i, row % 10);
  }
  for (unsigned i = 0; i < 1000; ++i) {
    files.push_back({fmt::format("originals/P{:05}.NC", i), texts[i * 2]});
    files.push_back({fmt::format("state/programs/O{:05}.nc", i), texts[i * 2 + 1]});
  }
  for (unsigned i = 0; i < 10; ++i) files.push_back({fmt::format("state/table{}.tsv", i), texts[2000 + i]});

  keepway::store::NewCommit commit;
  commit.summary = "Backup";
  commit.author = "Ida Turner";
  for (int round = 0; round < 5; ++round) {
    const std::string folder = fmt::format("{}/mill{}", top, round);
    Repository repository = Repository::create(folder, {}, commit);
    const double first = milliseconds([&] {
      repository.add("main", {"state/", "originals/"}, files, commit);
    });
    const double again = milliseconds([&] {
      repository.add("main", {"state/", "originals/"}, files, commit);
    });
    texts[1] += "(changed)\n";
    texts[0] += "(changed)\r\n";
    for (TreeFile& file : files) {
      if (file.path.ends_with("00000.NC")) file.bytes = texts[0];
      if (file.path.ends_with("00000.nc")) file.bytes = texts[1];
    }
    const double one = milliseconds([&] { repository.add("main", {"state/", "originals/"}, files, commit); });
    const double open = milliseconds([&] { Repository::open(folder); });

    // The reference: the normal forms alone, 10 MB, put there before the clock starts.
    const std::string plain = fmt::format("{}/git{}", top, round);
    std::filesystem::create_directories(plain + "/state/programs");
    for (const TreeFile& file : files) {
      if (file.path.starts_with("state/"))
        std::ofstream(plain + "/" + file.path, std::ios::binary) << file.bytes;
    }
    const std::string git = "cd " + plain + " && git -c user.name=a -c user.email=a@b ";
    if (std::system((git + "init -q").c_str()) != 0) return 1;
    const double reference = milliseconds([&] {
      if (std::system((git + "add -A && git -c user.name=a -c user.email=a@b commit -qm x").c_str()) != 0)
        std::abort();
    });
    fmt::print(
        "add {:.0f} ms (2,010 files, 20 MB); the same again {:.0f} ms; one program changed {:.0f} ms; open "
        "{:.1f} ms; git add + commit {:.0f} ms (1,010 files, 10 MB); ratio {:.2f}\n",
        first, again, one, open, reference, first / reference);
  }
  std::filesystem::remove_all(top);
  return 0;
}
