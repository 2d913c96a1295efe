#include "git/raw_object.hpp"

#include <algorithm>
#include <charconv>

#include "git/message.hpp"

namespace keepway::store {
namespace {

constexpr std::size_t raw_size = 20;

// Takes `name value\n` off the front; nullopt, taking nothing, when another line is there.
std::optional<std::string_view> take_line(std::string_view& text, std::string_view name) {
  if (!text.starts_with(name) || text.size() == name.size() || text[name.size()] != ' ') return std::nullopt;
  const std::size_t end = text.find('\n');
  if (end == std::string_view::npos) return std::nullopt;
  const std::string_view value = text.substr(name.size() + 1, end - name.size() - 1);
  text.remove_prefix(end + 1);
  return value;
}

// "Ana <ana@localhost> 1767225600 +0000"
bool read_person(std::string_view text, std::string& name, std::int64_t& time) {
  const std::size_t open = text.find(" <");
  const std::size_t close = text.rfind("> ");
  if (open == std::string_view::npos || close == std::string_view::npos || close < open) return false;
  name = std::string(text.substr(0, open));
  const std::string_view rest = text.substr(close + 2);
  return std::from_chars(rest.data(), rest.data() + rest.size(), time).ec == std::errc();
}

}  // namespace

std::optional<git_oid> parse_hex(std::string_view text) {
  const bool plain = text.size() == oid_digits && std::all_of(text.begin(), text.end(), [](char c) {
                       return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
                     });
  git_oid id{};
  if (!plain || git_oid_fromstrn(&id, text.data(), text.size()) != 0) return std::nullopt;
  return id;
}

std::optional<RawCommit> parse_commit(const git_oid& id, std::string_view bytes) {
  RawCommit out;
  const auto tree = take_line(bytes, "tree");
  const auto tree_id = tree ? parse_hex(*tree) : std::nullopt;
  if (!tree_id) return std::nullopt;
  out.tree = *tree_id;
  while (const auto parent = take_line(bytes, "parent")) {
    const auto parent_id = parse_hex(*parent);
    if (!parent_id) return std::nullopt;
    out.parents.push_back(*parent_id);
    out.info.parents.push_back(oid_text(*parent_id));
  }
  const auto author = take_line(bytes, "author");
  const auto committer = take_line(bytes, "committer");
  std::string ignored;
  if (!author || !committer || !read_person(*author, out.info.author, out.info.at) ||
      !read_person(*committer, ignored, out.info.taken)) {
    return std::nullopt;
  }
  // Further headers (an encoding, a signature) end at the first blank line.
  const std::size_t blank = bytes.starts_with('\n') ? 0 : bytes.find("\n\n");
  std::string_view text;
  if (blank != std::string_view::npos) text = bytes.substr(blank == 0 ? 1 : blank + 2);
  Message message = read_message(text);
  out.info.id = oid_text(id);
  out.info.summary = std::move(message.summary);
  out.info.body = std::move(message.body);
  out.info.trailers = std::move(message.trailers);
  return out;
}

std::optional<std::vector<RawEntry>> parse_tree(std::string_view bytes) {
  std::vector<RawEntry> out;
  while (!bytes.empty()) {
    const std::size_t space = bytes.find(' ');
    const std::size_t nul = bytes.find('\0');
    if (space == std::string_view::npos || nul == std::string_view::npos || space > nul ||
        bytes.size() - nul - 1 < raw_size) {
      return std::nullopt;
    }
    RawEntry entry;
    entry.mode = std::string(bytes.substr(0, space));
    entry.folder = entry.mode == "40000";
    entry.elsewhere = entry.mode == "160000";
    entry.name = std::string(bytes.substr(space + 1, nul - space - 1));
    git_oid_fromraw(&entry.id, reinterpret_cast<const unsigned char*>(bytes.data() + nul + 1));
    out.push_back(std::move(entry));
    bytes.remove_prefix(nul + 1 + raw_size);
  }
  return out;
}

std::optional<RawTag> parse_tag(std::string_view bytes) {
  const auto object = take_line(bytes, "object");
  const auto target = object ? parse_hex(*object) : std::nullopt;
  if (!target || !take_line(bytes, "type")) return std::nullopt;
  const auto name = take_line(bytes, "tag");
  if (!name) return std::nullopt;
  return RawTag{*target, std::string(*name)};
}

}  // namespace keepway::store
