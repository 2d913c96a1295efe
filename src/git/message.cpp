#include "git/message.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "git/git.hpp"

namespace keepway::store {
namespace {

// Stands below a body that would otherwise be taken for trailers; dropped when read.
constexpr std::string_view no_trailers = "Keepway-Trailers";
constexpr std::string_view none = "none";
constexpr std::string_view hex = "0123456789abcdef";

bool is_control(char c) {
  return static_cast<unsigned char>(c) < 0x20 || c == 0x7f;
}

std::string_view trim(std::string_view text, std::string_view of) {
  const std::size_t begin = text.find_first_not_of(of);
  if (begin == std::string_view::npos) return {};
  return text.substr(begin, text.find_last_not_of(of) - begin + 1);
}

std::string one_line(std::string_view text) {
  std::string out(text);
  std::replace_if(out.begin(), out.end(), is_control, ' ');
  return std::string(trim(out, " "));
}

std::string clean_body(std::string_view body) {
  std::string out;
  for (std::size_t i = 0; i < body.size(); ++i) {
    if (body[i] == '\r' && i + 1 < body.size() && body[i + 1] == '\n') continue;
    out += is_control(body[i]) && body[i] != '\n' && body[i] != '\t' ? '?' : body[i];
  }
  const std::size_t first = out.find_first_not_of('\n');
  if (first == std::string::npos) return {};
  return out.substr(first, out.find_last_not_of('\n') - first + 1);
}

// Values keep to their line: backslash, control bytes and spaces at the ends, which Git would trim, are
// escaped.
std::string escape_value(std::string_view value) {
  std::string out;
  for (std::size_t i = 0; i < value.size(); ++i) {
    const char c = value[i];
    const bool edge_space = c == ' ' && (i == 0 || i + 1 == value.size());
    if (c == '\\') {
      out += "\\\\";
    } else if (c == '\n') {
      out += "\\n";
    } else if (is_control(c) || edge_space) {
      const auto byte = static_cast<unsigned char>(c);
      out += "\\x";
      out += hex[byte >> 4U];
      out += hex[byte & 15U];
    } else {
      out += c;
    }
  }
  return out;
}

// A backslash that begins none of our escapes stands for itself: people write trailers too.
std::string unescape_value(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const std::string_view rest = text.substr(i);
    if (rest.starts_with("\\\\")) {
      out += '\\';
      ++i;
    } else if (rest.starts_with("\\n")) {
      out += '\n';
      ++i;
    } else if (rest.starts_with("\\x") && rest.size() >= 4 && hex.find(rest[2]) != std::string_view::npos &&
               hex.find(rest[3]) != std::string_view::npos) {
      out += static_cast<char>(hex.find(rest[2]) * 16 + hex.find(rest[3]));
      i += 3;
    } else {
      out += text[i];
    }
  }
  return out;
}

bool is_trailer_name(std::string_view name) {
  return !name.empty() && std::all_of(name.begin(), name.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-';
  });
}

std::optional<Trailers> read_trailers(std::string_view paragraph) {
  Trailers raw;
  while (!paragraph.empty()) {
    const std::size_t end = std::min(paragraph.find('\n'), paragraph.size());
    const std::string_view line = paragraph.substr(0, end);
    paragraph.remove_prefix(std::min(end + 1, paragraph.size()));
    if ((line.starts_with(' ') || line.starts_with('\t')) && !raw.empty()) {
      raw.back().second.append(" ").append(trim(line, " \t"));
      continue;
    }
    const std::size_t colon = line.find(':');
    if (colon == std::string_view::npos || !is_trailer_name(line.substr(0, colon))) return std::nullopt;
    raw.emplace_back(line.substr(0, colon), trim(line.substr(colon + 1), " \t\r"));
  }
  for (auto& [name, value] : raw) value = unescape_value(value);
  return raw;
}

std::string_view last_paragraph(std::string_view text) {
  const std::size_t gap = text.rfind("\n\n");
  return gap == std::string_view::npos ? text : text.substr(gap + 2);
}

}  // namespace

std::string write_message(const NewCommit& commit) {
  std::string text = one_line(commit.summary);
  if (text.empty()) text = "(no summary)";
  text += '\n';
  const std::string body = clean_body(commit.body);
  if (!body.empty()) text.append("\n").append(body).append("\n");
  if (!commit.trailers.empty()) text += '\n';
  for (const auto& [name, value] : commit.trailers) {
    if (!is_trailer_name(name)) {
      throw Error(ErrorKind::usage, fmt::format("'{}' cannot name a trailer", printable(name)),
                  "use letters, digits and hyphens");
    }
    text += fmt::format("{}: {}\n", name, escape_value(value));
  }
  if (commit.trailers.empty() && !body.empty() && read_trailers(last_paragraph(body))) {
    text += fmt::format("\n{}: {}\n", no_trailers, none);
  }
  return text;
}

Message read_message(std::string_view text) {
  Message message;
  text = trim(text, "\n");
  const std::size_t end = std::min(text.find('\n'), text.size());
  message.summary = std::string(trim(text.substr(0, end), "\r"));
  std::string_view rest = trim(text.substr(end), "\n");
  if (rest.empty()) return message;
  const std::string_view last = last_paragraph(rest);
  if (auto trailers = read_trailers(last)) {
    const bool stands_below =
        trailers->size() == 1 && trailers->front().first == no_trailers && trailers->front().second == none;
    if (!stands_below) message.trailers = std::move(*trailers);
    rest.remove_suffix(last.size());
    while (rest.ends_with('\n')) rest.remove_suffix(1);
  }
  message.body = std::string(rest);
  return message;
}

std::string clean_name(std::string_view name) {
  std::string out;
  for (const char c : name) {
    if (c != '<' && c != '>' && !is_control(c)) out += c;
  }
  // Git drops these from the ends of names (ident.c, crud); to keep them would not read back.
  const std::string_view trimmed = trim(out, " .,:;\"\\'");
  return trimmed.empty() ? "unknown" : std::string(trimmed);
}

}  // namespace keepway::store
