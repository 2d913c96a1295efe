// The sticks that are plugged in.
#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"

namespace keepway::show {

Answer sticks(const std::vector<media::Plugged>& found, Style style) {
  std::string text;
  Json json = start("slots", nullptr);
  json["sticks"] = Json::array();
  for (const media::Plugged& stick : found) {
    const std::string path = escape(stick.path.string());
    text += fmt::format("{}  {} bytes{}\n", paint(style, Tone::strong, path), with_commas(stick.bytes),
                        stick.model.empty() ? "" : ", " + escape(stick.model));
    Json mounted = Json::array();
    for (const std::string& where : stick.mounted_at) {
      text += fmt::format("  mounted at {}\n", escape(where));
      mounted.push_back(escape(where));
    }
    json["sticks"].push_back({{"path", path},
                              {"bytes", stick.bytes},
                              {"model", escape(stick.model)},
                              {"mounted_at", std::move(mounted)}});
  }
  text += found.empty() ? "No stick is plugged in, or the system takes it for a fixed disk.\n"
                        : fmt::format("\nWhat one holds: keepway slots {}\n",
                                      shell_quoted(found.front().path.string()));
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
