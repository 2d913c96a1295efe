// The pages' frames: all else is drawn by the script from data.
#include <fmt/format.h>

#include "show/pages/assets.hpp"
#include "show/pages/data.hpp"
#include "show/pages/html_text.hpp"

namespace keepway::show {
namespace pages {
std::string html_text(std::string_view text) {
  std::string out;
  for (const char c : escape(text)) {
    switch (c) {
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '&':
        out += "&amp;";
        break;
      case '"':
        out += "&quot;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string index_html(const std::string& title, const PageOptions& options, const char* page) {
  const std::string& assets = options.assets;
  const std::string style =
      options.acts ? fmt::format("<link rel=\"stylesheet\" href=\"{}/counter.css\">\n", assets) : "";
  const std::string script =
      options.acts ? fmt::format("<script src=\"{}/counter.js\"></script>\n", assets) : "";
  return fmt::format(R"html(<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'">
<title>{0}</title>
<link rel="stylesheet" href="{1}/uplot.css">
<link rel="stylesheet" href="{1}/keepway.css">
{4}</head>
<body data-page="{2}"{3}>
<noscript><p class="alone">These pages need JavaScript, which this browser does not run.</p></noscript>
<script src="{1}/uplot.js"></script>
<script src="{1}/keepway.js"></script>
{5}</body>
</html>
)html",
                     html_text(title), assets, page, options.live ? " data-live" : "", style, script);
}

}  // namespace pages

std::vector<PageFile> page_assets() {
  return {{"assets/keepway.css", std::string(assets::style)},
          {"assets/keepway.js", std::string(assets::script)},
          {"assets/uplot.css", std::string(assets::chart_style)},
          {"assets/uplot.js", std::string(assets::chart_script)},
          {"assets/uplot-license.txt", std::string(assets::chart_license)}};
}

std::vector<PageFile> counter_assets() {
  return {{"assets/counter.css", std::string(assets::counter_style)},
          {"assets/counter.js", std::string(assets::counter_script)},
          {"assets/door.js", std::string(assets::door_script)}};
}

std::string counter_door() {
  return R"html(<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>The counter</title>
<link rel="stylesheet" href="/assets/keepway.css">
</head>
<body data-page="door">
<main><h1>The counter</h1>
<p id="said" role="status">Opening.</p></main>
<noscript><p class="alone">These pages need JavaScript, which this browser does not run.</p></noscript>
<script src="/assets/door.js"></script>
</body>
</html>
)html";
}

EmbeddedWork page_charts() {
  return {"uPlot", assets::chart_version, assets::chart_license};
}

std::vector<PageFile> shop_pages(const std::string& title, const std::vector<ShopMachine>& machines,
                                 std::int64_t now, bool acts) {
  PageOptions options;
  options.acts = acts;
  Json json = start("report", nullptr);
  json["title"] = escape(title);
  json["made"] = now;
  json["machines"] = Json::array();
  for (const ShopMachine& each : machines) {
    const MachineStatus& status = each.status;
    const auto time = [](const std::optional<std::int64_t>& at) { return at ? Json(*at) : Json(nullptr); };
    json["machines"].push_back({{"name", each.machine.name},
                                {"title", escape(each.machine.title)},
                                {"serial", escape(each.machine.serial)},
                                {"units", units_name(each.machine.units)},
                                {"backups", each.backups},
                                {"missing", each.missing},
                                {"trial", escape(status.trial)},
                                {"backup_due", time(status.backup_due)},
                                {"battery_due", time(status.battery.due())},
                                {"clashes", status.clashes},
                                {"newest", each.newest ? to_json(*each.newest) : Json(nullptr)},
                                {"good", each.newest_good ? to_json(*each.newest_good) : Json(nullptr)}});
  }
  return {{"index.html", pages::index_html(title.empty() ? "Machines" : title, options, "shop")},
          {"data/shop.js", pages::data_file("shop", json)}};
}

std::string_view media_type(std::string_view path) {
  if (path.ends_with(".html")) return "text/html; charset=utf-8";
  if (path.ends_with(".css")) return "text/css; charset=utf-8";
  if (path.ends_with(".js")) return "text/javascript; charset=utf-8";
  return "text/plain; charset=utf-8";
}

}  // namespace keepway::show
