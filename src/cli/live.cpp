#include "cli/live.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <string_view>

#include "cli/card.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;
namespace {

bool is_card(std::string_view file) {
  return file == "card.html" || file == "card-letter.html";
}

}  // namespace

Live::Live(Shop shop, std::vector<std::string> only, bool acts)
    : shop_(std::move(shop)), only_(std::move(only)), acts_(acts) {
  for (const std::string& name : only_)
    (void)shop_.machine(name);  // an unknown one, before anything is shown
  for (auto& file : show::page_assets()) assets_.emplace(std::move(file.path), std::move(file.bytes));
}

std::vector<std::string> Live::machines() const {
  return only_.empty() ? shop_.machines() : only_;
}

void Live::check_shown(const std::string& name) const {
  const auto names = machines();
  if (std::find(names.begin(), names.end(), name) != names.end()) return;
  throw Error(ErrorKind::usage, fmt::format("'{}' is not one of the machines shown here", escape(name)),
              fmt::format("name one of {}", fmt::join(names, ", ")));
}

void Live::show_also(const std::string& name) {
  const bool is_known = std::find(only_.begin(), only_.end(), name) != only_.end();
  if (!only_.empty() && !is_known) only_.push_back(name);
}

Machine Live::machine(const std::string& name) const {
  check_shown(name);
  return shop_.machine(name);
}

Response Live::answer(const Request& request) {
  if (request.path) {
    if (auto bytes = get(*request.path, request.asked("of"))) {
      Response page{200, std::move(*bytes), std::string(show::media_type(*request.path))};
      // It has its style within it, and nothing else.
      if (is_card(fs::path(*request.path).filename().string()))
        page.headers.emplace_back("Content-Security-Policy",
                                  "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; "
                                  "form-action 'none'; frame-ancestors 'none'");
      return page;
    }
  }
  return {404, "There is no such page.\n"};
}

std::optional<std::string> Live::get(const std::string& path, const std::string& of) {
  if (const auto asset = assets_.find(path); asset != assets_.end()) return asset->second;
  if (is_alone()) return machine_file(only_.front(), path, of);
  constexpr std::string_view folder = "machines/";
  if (path.starts_with(folder)) {
    const std::size_t slash = path.find('/', folder.size());
    if (slash == std::string::npos) return std::nullopt;
    return machine_file(path.substr(folder.size(), slash - folder.size()), path.substr(slash + 1), of);
  }
  if (path.starts_with("data/twins/")) return twins_file(path);
  if (path != "index.html" && path != "data/shop.js") return std::nullopt;
  std::vector<show::ShopMachine> list;
  for (const std::string& name : machines()) list.push_back(listed(name));
  for (auto& file : show::shop_pages(shop_title(shop_), list, now(), acts_)) {
    if (file.path == path) return std::move(file.bytes);
  }
  return std::nullopt;
}

// Two of the machines shown, side by side as of their last good backups.
std::optional<std::string> Live::twins_file(const std::string& path) {
  const auto names = machines();
  for (const std::string& a : names) {
    for (const std::string& b : names) {
      if (a == b || path != show::twins_path(a, b)) continue;
      const auto left = twin_side(shop_, a);
      const auto right = twin_side(shop_, b);
      return left && right ? std::optional(twins_page(*left, *right).bytes) : std::nullopt;
    }
  }
  return std::nullopt;
}

// All that the pages depend on, without reading the history.
std::string Live::fingerprint(const std::string& name) const {
  const Machine machine = shop_.machine(name);
  std::string text = machine.repository().line() + machine.repository().tip().value_or("");
  for (const auto& mark : machine.repository().marks()) text += mark.name + "\n" + mark.commit;
  for (const auto& line : machine.repository().lines()) text += line.name + "\n" + line.tip;
  for (const char* file : {"machine.toml", "layout.toml", "namebook.tsv"})
    text += machine.repository().working_file(file).value_or("");
  return text;
}

Shown& Live::shown(const std::string& name) {
  std::string now_is = fingerprint(name);
  const auto known = known_.find(name);
  if (known != known_.end() && known->second.fingerprint == now_is) return *known->second.shown;
  show::PageOptions options;
  options.assets = is_alone() ? "assets" : "../../assets";
  if (!is_alone()) options.shop = shop_title(shop_);
  options.live = true;
  options.acts = acts_;
  // Known once it is gathered, not before: where that fails the next request finds no empty entry.
  auto fresh = gather(shop_, name, options);
  return *known_.insert_or_assign(name, Known{std::move(now_is), std::move(fresh)}).first->second.shown;
}

// A machine's row in the shop's list.
show::ShopMachine Live::listed(const std::string& name) {
  try {
    return summary(shown(name));
  } catch (const Error& error) {
    return unreadable(name, error);
  } catch (const std::bad_alloc&) {
    throw;
  } catch (const std::exception& error) {
    return unreadable(name, Error(ErrorKind::store, error.what(), "look into the machine's folder"));
  }
}

std::optional<std::string> Live::machine_file(const std::string& name, const std::string& path,
                                              const std::string& of) {
  const auto names = machines();
  if (std::find(names.begin(), names.end(), name) == names.end()) return std::nullopt;
  if (path == "data/now.json") return fmt::format("{{\"tip\":\"{}\"}}\n", seen_tip(shop_.machine(name)));
  if (is_card(path))
    return card_of(shop_.machine(name), path == "card.html" ? show::Paper::a4 : show::Paper::letter).html;
  // A page goes on with the history that it began with, or starts again.
  const bool first = path == "index.html" || path == "data/machine.js" || !known_.contains(name);
  const Shown& machine = first ? shown(name) : *known_.at(name).shown;
  if (path.starts_with("data/") && path != "data/machine.js" && !of.empty() && of != machine.report.tip)
    return "keepway.stale();\n";
  return machine.pages->file(path);
}

}  // namespace keepway::cli
