// The pages of a machine: a site of plain files that opens from a disk, without a network or a server.
//
// The same files are written to a folder (report) and served on this computer (view). Facts go into data
// files, one call of a function with JSON each, loaded when they are needed, so that ten thousand backups
// open at once. Everything that a backup, a name or a note says is data there and text on the page, never
// markup.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/report.hpp"
#include "keepway/show.hpp"
#include "keepway/status.hpp"

namespace keepway::show {

struct PageFile {
  std::string path;  // below the site's folder, with '/'
  std::string bytes;
};

// What every site has in common: style, script, the chart library and its licence; below "assets/".
std::vector<PageFile> page_assets();

// What the counter's pages have beside: style and script, below "assets/".
std::vector<PageFile> counter_assets();
// The counter's page for a browser that has not entered yet: it says no fact of the shop.
std::string counter_door();

// Other people's work in the pages, with its licence as its package has it.
struct EmbeddedWork {
  std::string_view name;
  std::string_view version;
  std::string_view license;
};
EmbeddedWork page_charts();

struct PageOptions {
  std::string assets = "assets";  // from the page's own folder
  std::string shop;               // title of the shop when its list is two folders up; empty: no list
  bool live = false;              // served: the page asks now and then whether there is a newer backup
  // The pages of the counter: as the others, with what is done there. Served as well: its own files, see
  // counter_assets().
  bool acts = false;
};

// One machine's files, made when asked for. Not thread-safe.
class MachinePages {
 public:
  MachinePages(const Report& report, PageOptions options);  // the report must outlive it
  MachinePages(MachinePages&&) noexcept;
  ~MachinePages();

  [[nodiscard]] std::vector<std::string> paths() const;
  // nullopt when it is no path of `paths()`.
  [[nodiscard]] std::optional<std::string> file(std::string_view path) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

// The list of a shop's machines: index.html and its data. `acts`: of the counter, as in PageOptions.
struct ShopMachine {
  MachineFacts machine;
  std::optional<Backup> newest;
  std::optional<Backup> newest_good;
  std::size_t backups = 0;
  std::size_t missing = 0;  // since the newest, by its usual interval
  MachineStatus status;     // what is due
};
std::vector<PageFile> shop_pages(const std::string& title, const std::vector<ShopMachine>& machines,
                                 std::int64_t now, bool acts = false);

// Two machines of the list side by side: its page asks for this file, with a first in the list.
std::string twins_path(const std::string& a, const std::string& b);
PageFile twins_page(const Context& context, const TwinFacts& facts);

// "text/html; charset=utf-8" by the ending.
std::string_view media_type(std::string_view path);

}  // namespace keepway::show
