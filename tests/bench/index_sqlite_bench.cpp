// The index of item changes as a flat file and as an SQLite database of the same facts, side by side.
// Usage: index_sqlite_bench MACHINE-FOLDER OFTEN-CHANGED-ROW, as in: index_sqlite_bench shop/m tool/1/length
#include <fmt/format.h>
#include <sqlite3.h>

#include <chrono>
#include <filesystem>
#include <stdexcept>

#include "figures.hpp"
#include "keepway/index.hpp"

namespace {

namespace fs = std::filesystem;
using namespace keepway::store;

double timed(const auto& work) {
  std::vector<double> all;
  for (int round = 0; round < 15; ++round) {
    const auto start = std::chrono::steady_clock::now();
    work();
    all.push_back(
        std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count());
  }
  return bench::median(all);
}

class Database {
 public:
  explicit Database(const fs::path& file) {
    check(sqlite3_open(file.c_str(), &db_));
    // Derived data: a crash may lose it, so that nothing is synced here either.
    run("PRAGMA synchronous=OFF; PRAGMA journal_mode=MEMORY;");
  }
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;
  ~Database() { sqlite3_close(db_); }
  void run(const char* sql) { check(sqlite3_exec(db_, sql, nullptr, nullptr, nullptr)); }
  void add(std::int64_t place, const CommitInfo& info, const std::vector<Change>& changes) {
    std::string message = info.summary + "\n" + info.body;
    for (const auto& [name, value] : info.trailers) message += name + ": " + value + "\n";
    sqlite3_stmt* put = prepare("INSERT OR REPLACE INTO backup VALUES (?, ?, ?, ?)");
    sqlite3_bind_int64(put, 1, place);
    sqlite3_bind_text(put, 2, info.id.c_str(), -1, SQLITE_TRANSIENT);
    sqlite3_bind_int64(put, 3, info.at);
    sqlite3_bind_text(put, 4, message.c_str(), -1, SQLITE_TRANSIENT);
    sqlite3_step(put);
    sqlite3_finalize(put);
    put = prepare("INSERT OR REPLACE INTO change VALUES (?, ?, ?)");
    for (const Change& change : changes) {
      sqlite3_bind_text(put, 1, change.name.c_str(), -1, SQLITE_TRANSIENT);
      sqlite3_bind_int64(put, 2, place);
      sqlite3_bind_text(put, 3, change.value ? change.value->c_str() : nullptr, -1, SQLITE_TRANSIENT);
      sqlite3_step(put);
      sqlite3_reset(put);
    }
    sqlite3_finalize(put);
  }
  std::size_t find(const std::string& name) {
    sqlite3_stmt* get = prepare(
        "SELECT place, value, id, at, message FROM change JOIN backup USING (place) WHERE name = ? ORDER BY "
        "place DESC");
    sqlite3_bind_text(get, 1, name.c_str(), -1, SQLITE_TRANSIENT);
    std::size_t count = 0;
    while (sqlite3_step(get) == SQLITE_ROW) ++count;
    sqlite3_finalize(get);
    return count;
  }

 private:
  sqlite3_stmt* prepare(const char* sql) {
    sqlite3_stmt* out = nullptr;
    check(sqlite3_prepare_v2(db_, sql, -1, &out, nullptr));
    return out;
  }
  void check(int code) {
    if (code != SQLITE_OK) throw std::runtime_error(sqlite3_errmsg(db_));
  }
  sqlite3* db_ = nullptr;
};

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) return 2;
  const fs::path folder = argv[1];
  const Repository repository = Repository::open(folder);
  const Oid tip = *repository.resolve("HEAD");
  const auto numbering = [](const CommitInfo& info) -> std::optional<std::uint32_t> {
    const std::string number(info.trailer("Keepway-Backup"));
    return number.empty() ? std::nullopt : std::optional(static_cast<std::uint32_t>(std::stoul(number)));
  };
  const std::string name = row_name("state/offsets.tsv", argv[2]);
  const Index index = Index::open(repository, tip, numbering);
  const fs::path flat = repository.git_folder() / "keepway/index";
  const fs::path base = fs::path(argv[1]).parent_path() / "index-bench.db";
  fs::remove(base);

  const auto start = std::chrono::steady_clock::now();
  {
    Database database(base);
    database.run(
        "CREATE TABLE backup (place INTEGER PRIMARY KEY, id TEXT, at INTEGER, message TEXT);"
        "CREATE TABLE change (name TEXT, place INTEGER, value TEXT, PRIMARY KEY (name, place)) WITHOUT ROWID;"
        "BEGIN");
    for (std::size_t place = index.size(); place-- > 0;) {
      database.add(static_cast<std::int64_t>(index.size() - place), index.info(place), index.changes(place));
    }
    database.run("COMMIT");
  }
  const double filled =
      std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();

  std::size_t in_flat = 0;
  std::size_t in_base = 0;
  const double flat_find = timed([&] {
    in_flat = 0;
    Index::open(repository, tip, numbering).find(name, [&](std::size_t, const auto&, const auto&) {
      ++in_flat;
    });
  });
  const double base_find = timed([&] { in_base = Database(base).find(name); });
  if (in_flat != in_base) throw std::runtime_error("the two do not agree");
  const auto last = index.changes(0);
  const CommitInfo info = index.info(0);
  const double base_add = timed([&] {
    Database database(base);
    database.run("BEGIN");
    database.add(static_cast<std::int64_t>(index.size()), info, last);
    database.run("COMMIT");
  });
  const auto size = fs::file_size(flat);
  const auto base_size = fs::file_size(base);
  const double flat_add = timed([&] { Index::note(repository, info, index.number(0), last); });
  fs::resize_file(flat, size);
  fs::remove(base);
  fmt::print("{} backups, {} changes of {}\n", index.size(), in_flat, argv[2]);
  fmt::print("flat file: {:.1f} MB; open and find {:.2f} ms; add a backup {:.3f} ms\n",
             static_cast<double>(size) / 1e6, flat_find, flat_add);
  fmt::print("SQLite {}: {:.1f} MB; open and find {:.2f} ms; add a backup {:.3f} ms; filled in {:.0f} ms\n",
             sqlite3_libversion(), static_cast<double>(base_size) / 1e6, base_find, base_add, filled);
}
