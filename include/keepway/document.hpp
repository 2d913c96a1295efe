// The documents that come with keepway: the guide and the references, whole or a section at a time, as text
// for a terminal and as manual pages.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "keepway/show.hpp"

namespace keepway::show {

// What a person may ask to read. `markdown` is the text as written in the document.
struct Topic {
  std::string name;   // one word: "guide", "drawer"
  std::string title;  // what it is about, in a few words
  std::string markdown;
  int manual_section = 7;       // of the manual page, see man(1)
  bool whole_document = false;  // else a section of the guide
};

// The documents first, then the sections of the guide in their order.
const std::vector<Topic>& topics();

Answer topic_list(const std::vector<Topic>& topics);
Answer topic(const Topic& topic, const Style& style);

// The text for a terminal, wrapped; `code` and **strong** are bold with colour, and left as they are without.
// The part of Markdown that is understood: headings, paragraphs, quotes, lists of one level, tables of two
// columns, code between fences or indented by four, and links, of which the text is kept.
std::string document_text(std::string_view markdown, const Style& style);
// The same as a manual page, in the macros of man(7).
std::string document_manual(const Topic& topic, std::string_view version);
// Text as roff takes it: no line may begin with a control character, and hyphens stay hyphens.
std::string roff(std::string_view text);

}  // namespace keepway::show
