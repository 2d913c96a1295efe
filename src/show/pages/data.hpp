// A report's facts as data files.
#pragma once

#include "keepway/pages.hpp"
#include "show/json.hpp"
#include "show/pages/drift.hpp"

namespace keepway::show::pages {

// keepway.take("NAME", {…}): plain ASCII, without a byte that HTML could take for markup.
std::string data_file(std::string_view name, const Json& json);
std::string index_html(const std::string& title, const PageOptions& options, const char* page);

// How a report is cut into files: each chunk ends where the next begins.
struct Chunks {
  std::vector<std::size_t> first;  // first element of each chunk
  std::size_t elements = 0;
  [[nodiscard]] std::size_t size() const { return first.size(); }
  [[nodiscard]] std::size_t begin(std::size_t chunk) const { return first[chunk]; }
  [[nodiscard]] std::size_t end(std::size_t chunk) const {
    return chunk + 1 < first.size() ? first[chunk + 1] : elements;
  }
  [[nodiscard]] std::size_t of(std::size_t element) const;
};
// At most `most_elements` a chunk, and a new one when the weight would pass `most_weight`.
Chunks cut(const std::vector<std::size_t>& weights, std::size_t most_elements, std::size_t most_weight);

// A report with what the data files need to find things by.
struct Site {
  Site(const Report& report, PageOptions options);

  struct Changed {
    std::size_t item = 0;
    std::size_t version = 0;
  };
  const Report& report;
  PageOptions options;
  GoodBackups goods;
  std::vector<std::vector<Changed>> changes;  // by backup, in the order of items; nothing for the first
  Chunks backups;
  std::vector<std::size_t> chunk;  // by item: of histories, or of programs; `none` without a history
  Chunks histories;                // of history_items
  std::vector<std::size_t> history_items;
  Chunks programs;  // of program_items
  std::vector<std::size_t> program_items;
  static constexpr std::size_t none = static_cast<std::size_t>(-1);
};

// What a page's address calls a backup by: its number on main, or its name where it has none.
Json key_of(const Backup& backup);
// Its place in the report; Site::none where it is not there.
std::size_t place_of(const Report& report, const Backup& backup);

Json machine_facts(const Site& site);
Json backups_chunk(const Site& site, std::size_t chunk);
Json group_items(const Site& site, Group group);
Json histories_chunk(const Site& site, std::size_t chunk);
Json programs_chunk(const Site& site, std::size_t chunk);
Json heat_map(const Site& site);
// The last changes that matter, and the first of `drifts`.
Json glance(const Site& site, const Json& drifts);
// Every number that crept within a year, those first that did so surely and, for what they may change, most.
Json drifts(const Site& site);

// A number as the control writes it; any other value as it is.
std::string written(const Site& site, const History& history, const std::optional<Entry>& entry,
                    const std::string& value);
// What a change of an item means, as its backup's page shows it.
Json value_change(const Site& site, const History& history, const std::optional<std::string>& before,
                  const std::optional<std::string>& after);
// "in", "mm", or as the namebook says.
std::string unit_of(const Site& site, const Entry& entry);

}  // namespace keepway::show::pages
