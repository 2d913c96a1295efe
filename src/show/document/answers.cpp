#include <fmt/format.h>

#include <algorithm>

#include "keepway/document.hpp"
#include "show/json.hpp"

namespace keepway::show {

Answer topic_list(const std::vector<Topic>& topics) {
  std::size_t widest = 0;
  for (const Topic& topic : topics) widest = std::max(widest, topic.name.size());
  std::string text = "keepway help TOPIC prints one of these:\n";
  Json json = start("help", nullptr);
  bool whole = true;
  for (const Topic& topic : topics) {
    if (whole && !topic.whole_document) text += "\nor one section of the guide:\n";
    whole = topic.whole_document;
    text += fmt::format("  {:<{}}  {}\n", topic.name, widest, topic.title);
    json["topics"].push_back({{"topic", topic.name}, {"title", topic.title}});
  }
  text += "\nThe commands: keepway --help. The options of one: keepway COMMAND --help.\n";
  return {std::move(text), finish(json)};
}

Answer topic(const Topic& topic, const Style& style) {
  Json json = start("help", nullptr);
  json["topic"] = topic.name;
  json["title"] = topic.title;
  json["markdown"] = topic.markdown;
  return {document_text(topic.markdown, style), finish(json)};
}

}  // namespace keepway::show
