// The files of a site, and how a report is cut into them.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "show/pages/assets.hpp"
#include "show/pages/data.hpp"

namespace keepway::show {
namespace pages {
namespace {

// A page of the timeline, and about what a browser parses in a blink.
constexpr std::size_t backups_a_file = 100;
constexpr std::size_t changes_a_file = 4000;
constexpr std::size_t versions_a_file = 8000;
constexpr std::size_t texts_a_file = 64;

}  // namespace

std::string data_file(std::string_view name, const Json& json) {
  const std::string text = json.dump(-1, ' ', true, Json::error_handler_t::replace);
  std::string out = fmt::format("keepway.take(\"{}\",", name);
  out.reserve(out.size() + text.size() + 8);
  for (const char c : text) {
    if (c == '<' || c == '>' || c == '&') {
      out += fmt::format("\\u{:04x}", static_cast<unsigned>(c));
    } else {
      out += c;
    }
  }
  return out + ");\n";
}

std::size_t Chunks::of(std::size_t element) const {
  const auto after = std::upper_bound(first.begin(), first.end(), element);
  return static_cast<std::size_t>(after - first.begin()) - 1;
}

Chunks cut(const std::vector<std::size_t>& weights, std::size_t most_elements, std::size_t most_weight) {
  Chunks chunks;
  chunks.elements = weights.size();
  std::size_t weight = 0;
  for (std::size_t i = 0; i < weights.size(); ++i) {
    const bool full = !chunks.first.empty() && i - chunks.first.back() >= most_elements;
    if (i == 0 || full || weight + weights[i] > most_weight) {
      chunks.first.push_back(i);
      weight = 0;
    }
    weight += weights[i];
  }
  return chunks;
}

Site::Site(const Report& of, PageOptions with) : report(of), options(std::move(with)), goods(report.backups) {
  changes.resize(report.backups.size());
  chunk.assign(report.items.size(), none);
  std::vector<std::size_t> versions;
  std::vector<std::size_t> texts;
  for (std::size_t item = 0; item < report.items.size(); ++item) {
    const History& history = report.items[item];
    for (std::size_t i = 0; i < history.versions.size(); ++i) {
      if (history.versions[i].backup > 0) changes[history.versions[i].backup].push_back({item, i});
    }
    if (history.is_program()) {
      program_items.push_back(item);
      texts.push_back(history.versions.size());
    } else if (history.versions.size() > 1) {
      history_items.push_back(item);
      versions.push_back(history.versions.size());
    }
  }
  histories = cut(versions, versions.size() + 1, versions_a_file);
  programs = cut(texts, texts_a_file, texts_a_file);
  for (std::size_t i = 0; i < history_items.size(); ++i) chunk[history_items[i]] = histories.of(i);
  for (std::size_t i = 0; i < program_items.size(); ++i) chunk[program_items[i]] = programs.of(i);
  std::vector<std::size_t> changed;
  changed.reserve(changes.size());
  for (const auto& each : changes) changed.push_back(each.size());
  backups = cut(changed, backups_a_file, changes_a_file);
}

}  // namespace pages

struct MachinePages::Impl {
  pages::Site site;
  std::optional<Json> drifts;  // two files show them, and each page begins with one of these
  const Json& all_drifts() {
    if (!drifts) drifts = pages::drifts(site);
    return *drifts;
  }
};

MachinePages::MachinePages(const Report& report, PageOptions options)
    : impl_(std::make_unique<Impl>(Impl{pages::Site(report, std::move(options)), std::nullopt})) {}
MachinePages::MachinePages(MachinePages&&) noexcept = default;
MachinePages::~MachinePages() = default;

std::vector<std::string> MachinePages::paths() const {
  const pages::Site& site = impl_->site;
  std::vector<std::string> out = {"index.html", "data/machine.js", "data/glance.js", "data/drifts.js",
                                  "data/heat.js"};
  for (const Group group : all_groups) out.push_back(fmt::format("data/items-{}.js", group_name(group)));
  const auto add = [&](const char* name, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) out.push_back(fmt::format("data/{}-{}.js", name, i));
  };
  add("backups", site.backups.size());
  add("history", site.histories.size());
  add("programs", site.programs.size());
  return out;
}

std::optional<std::string> MachinePages::file(std::string_view path) const {
  const pages::Site& site = impl_->site;
  if (path == "index.html") {
    return pages::index_html(site.report.machine.title, site.options, "machine");
  }
  if (!path.starts_with("data/") || !path.ends_with(".js")) return std::nullopt;
  const std::string_view name = path.substr(5, path.size() - 8);
  if (name == "machine") return pages::data_file(name, pages::machine_facts(site));
  if (name == "glance") return pages::data_file(name, pages::glance(site, impl_->all_drifts()));
  if (name == "drifts") return pages::data_file(name, impl_->all_drifts());
  if (name == "heat") return pages::data_file(name, pages::heat_map(site));
  const std::size_t dash = name.rfind('-');
  if (dash == std::string_view::npos) return std::nullopt;
  const std::string_view kind = name.substr(0, dash);
  const std::string_view rest = name.substr(dash + 1);
  if (kind == "items") {
    const auto group = parse_group(rest);
    return group ? std::optional(pages::data_file(name, pages::group_items(site, *group))) : std::nullopt;
  }
  std::size_t number = 0;
  const auto [end, failed] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (failed != std::errc() || fmt::format("{}", number) != rest) return std::nullopt;
  if (kind == "backups" && number < site.backups.size())
    return pages::data_file(name, pages::backups_chunk(site, number));
  if (kind == "history" && number < site.histories.size())
    return pages::data_file(name, pages::histories_chunk(site, number));
  if (kind == "programs" && number < site.programs.size())
    return pages::data_file(name, pages::programs_chunk(site, number));
  return std::nullopt;
}

}  // namespace keepway::show
