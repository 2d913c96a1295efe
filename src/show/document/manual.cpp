// A document as a manual page.
#include <fmt/format.h>

#include "keepway/document.hpp"
#include "keepway/text.hpp"
#include "show/document/blocks.hpp"

namespace keepway::show {
namespace {

using Kind = Block::Kind;

// Escaped, with what is between a pair of marks in bold.
std::string flowing(std::string_view text) {
  std::string out;
  bool bold = false;
  bool quoted = false;  // between backticks, where asterisks are what they are
  std::size_t begin = 0;
  const auto flush = [&](std::size_t end) {
    out += roff(text.substr(begin, end - begin));
    out += bold ? "\\fR" : "\\fB";
    bold = !bold;
  };
  for (std::size_t at = 0; at < text.size(); ++at) {
    const bool strong = !quoted && text.substr(at, 2) == "**";
    if (text[at] != '`' && !strong) continue;
    if (!strong) quoted = !quoted;
    flush(at);
    if (strong) ++at;
    begin = at + 1;
  }
  return out + roff(text.substr(begin)) + '\n';
}

std::string block_text(const Block& block) {
  switch (block.kind) {
    case Kind::heading:
      return fmt::format("{} \"{}\"\n", block.level <= 2 ? ".SH" : ".SS", roff(block.text));
    case Kind::paragraph:
    case Kind::quote:
      return ".PP\n" + flowing(block.text);
    case Kind::item:
      return ".IP \\(bu 2\n" + flowing(block.text);
    case Kind::code:
      return ".PP\n.RS 4\n.nf\n" + roff(block.text) + ".fi\n.RE\n";
    case Kind::row:  // a page has no columns: names with what is said of each
      return block.level == 1 ? "" : ".TP\n" + flowing(block.text) + flowing(block.rest);
  }
  return "";
}

}  // namespace

std::string roff(std::string_view text) {
  std::string out;
  bool first = true;
  for (const char c : text) {
    if (first && (c == '.' || c == '\'')) out += "\\&";
    first = c == '\n';
    if (c == '\\') {
      out += "\\e";
    } else if (c == '-') {
      out += "\\-";
    } else {
      out += c;
    }
  }
  return out;
}

std::string document_manual(const Topic& topic, std::string_view version) {
  const std::string name = "keepway-" + topic.name;
  std::string out =
      fmt::format(".TH \"{}\" {} \"\" \"keepway {}\" \"keepway\"\n.SH NAME\n{} \\- {}\n", roff(upper(name)),
                  topic.manual_section, roff(version), roff(name), roff(topic.title));
  bool title = true;  // the first heading is the name
  bool described = false;
  for (const Block& block : blocks_of(topic.markdown)) {
    if (title && block.kind == Kind::heading) {
      title = false;
      continue;
    }
    if (!described && block.kind != Kind::heading) out += ".SH DESCRIPTION\n";
    described = true;
    out += block_text(block);
  }
  out += ".SH SEE ALSO\n.BR keepway (1)";
  for (const Topic& other : topics()) {
    if (other.whole_document && other.name != topic.name) {
      out += fmt::format(",\n.BR {} ({})", roff("keepway-" + other.name), other.manual_section);
    }
  }
  return out + '\n';
}

}  // namespace keepway::show
