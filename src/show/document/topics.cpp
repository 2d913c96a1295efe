// The documents by the names that people ask for.
#include "keepway/document.hpp"
#include "keepway/text.hpp"
#include "show/document/documents.hpp"

namespace keepway::show {
namespace {

// "Drawer: years of old backups" as name and title; a heading without a colon is both.
Topic topic_of(std::string_view heading, std::string_view markdown) {
  const std::size_t colon = heading.find(": ");
  Topic topic;
  topic.name = lower(heading.substr(0, colon));
  topic.title = heading.substr(colon == std::string_view::npos ? 0 : colon + 2);
  topic.markdown = markdown;
  return topic;
}

std::string_view first_line(std::string_view text) {
  return text.substr(0, text.find('\n'));
}

Topic document(std::string_view markdown, int manual_section) {
  Topic topic = topic_of(first_line(markdown).substr(2), markdown);
  topic.manual_section = manual_section;
  topic.whole_document = true;
  return topic;
}

std::vector<Topic> all() {
  std::vector<Topic> found{document(guide_document, 7), document(layout_document, 5),
                           document(namebook_document, 5)};
  constexpr std::string_view mark = "\n## ";
  for (std::size_t at = guide_document.find(mark); at != std::string_view::npos;) {
    const std::size_t next = guide_document.find(mark, at + mark.size());
    const std::string_view section =
        guide_document.substr(at + 1, next == std::string_view::npos ? next : next - at);
    found.push_back(topic_of(first_line(section).substr(mark.size() - 1), section));
    at = next;
  }
  return found;
}

}  // namespace

const std::vector<Topic>& topics() {
  static const std::vector<Topic> known = all();
  return known;
}

}  // namespace keepway::show
