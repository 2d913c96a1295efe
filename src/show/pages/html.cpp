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

std::string index_html(const std::string& title, const std::string& assets, const char* page, bool live) {
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
</head>
<body data-page="{2}"{3}>
<noscript><p class="alone">These pages need JavaScript, which this browser does not run.</p></noscript>
<script src="{1}/uplot.js"></script>
<script src="{1}/keepway.js"></script>
</body>
</html>
)html",
                     html_text(title), assets, page, live ? " data-live" : "");
}

}  // namespace pages

std::vector<PageFile> page_assets() {
  return {{"assets/keepway.css", std::string(assets::style)},
          {"assets/keepway.js", std::string(assets::script)},
          {"assets/uplot.css", std::string(assets::chart_style)},
          {"assets/uplot.js", std::string(assets::chart_script)},
          {"assets/uplot-license.txt", std::string(assets::chart_license)}};
}

EmbeddedWork page_charts() {
  return {"uPlot", assets::chart_version, assets::chart_license};
}

std::vector<PageFile> shop_pages(const std::string& title, const std::vector<ShopMachine>& machines,
                                 std::int64_t now) {
  Json json = start("report", nullptr);
  json["title"] = escape(title);
  json["made"] = format_time(now);
  json["machines"] = Json::array();
  for (const ShopMachine& each : machines) {
    json["machines"].push_back({{"name", each.machine.name},
                                {"title", escape(each.machine.title)},
                                {"serial", escape(each.machine.serial)},
                                {"units", units_name(each.machine.units)},
                                {"backups", each.backups},
                                {"missing", each.missing},
                                {"newest", each.newest ? to_json(*each.newest) : Json(nullptr)},
                                {"good", each.newest_good ? to_json(*each.newest_good) : Json(nullptr)}});
  }
  return {{"index.html", pages::index_html(title.empty() ? "Machines" : title, "assets", "shop", false)},
          {"data/shop.js", pages::data_file("shop", json)}};
}

std::string_view media_type(std::string_view path) {
  if (path.ends_with(".html")) return "text/html; charset=utf-8";
  if (path.ends_with(".css")) return "text/css; charset=utf-8";
  if (path.ends_with(".js")) return "text/javascript; charset=utf-8";
  return "text/plain; charset=utf-8";
}

}  // namespace keepway::show
