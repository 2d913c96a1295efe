#include "index/index_chunk.hpp"

#include <libdeflate.h>

#include <algorithm>

#include "base/bytes.hpp"
#include "git/git.hpp"
#include "git/raw_object.hpp"

namespace keepway::store {
namespace {

// How a change's value is written.
constexpr char kind_gone = 0;
constexpr char kind_text = 1;
constexpr char kind_id = 2;
constexpr char with_before = 4;  // besides one of these: the value before follows, as text

std::string_view raw(const git_oid& oid) {
  return {reinterpret_cast<const char*>(oid.id), sizeof oid.id};
}

Oid oid_of(std::string_view bytes) {
  git_oid oid{};
  std::memcpy(oid.id, bytes.data(), std::min(bytes.size(), sizeof oid.id));
  return oid_text(oid);
}

// The next change. `value` stays as it is for one that is gone.
struct OneChange {
  std::string_view name;
  char kind = kind_gone;
  std::string_view value;
  std::optional<std::string_view> before;
  [[nodiscard]] std::optional<std::string> text_of_value() const {
    if (kind == kind_gone) return std::nullopt;
    return kind == kind_id ? oid_of(value) : std::string(value);
  }
};
OneChange take_change(TakeBytes& take) {
  OneChange change;
  change.name = take.text();
  const unsigned kind = take.byte();
  change.kind = static_cast<char>(kind & 3U);
  if (change.kind == kind_text) change.value = take.text();
  if (change.kind == kind_id) change.value = take.bytes(GIT_OID_RAWSZ);
  if ((kind & with_before) != 0) change.before = take.text();
  return change;
}

std::string write_info(const CommitInfo& info) {
  std::string out;
  put_number(out, info.parents.size());
  for (const Oid& parent : info.parents) out += raw(parse_oid(parent));
  put_text(out, info.summary);
  put_text(out, info.body);
  put_text(out, info.author);
  put_number(out, static_cast<std::uint64_t>(info.taken));
  put_number(out, info.trailers.size());
  for (const auto& [name, value] : info.trailers) {
    put_text(out, name);
    put_text(out, value);
  }
  return out;
}

}  // namespace

std::uint32_t name_hash(std::string_view name) {
  return libdeflate_crc32(0, name.data(), name.size());
}

std::string write_chunk(const CommitInfo& commit, std::optional<std::uint32_t> number,
                        const std::vector<Change>& changes) {
  const std::string info = write_info(commit);
  ChunkHead head;
  head.magic = chunk_magic;
  head.number = number ? *number + 1 : 0;
  head.at = commit.at;
  std::memcpy(head.commit.data(), parse_oid(commit.id).id, head.commit.size());
  if (!commit.parents.empty())
    std::memcpy(head.parent.data(), parse_oid(commit.parents.front()).id, head.parent.size());
  head.changes = static_cast<std::uint32_t>(changes.size());
  head.info_size = static_cast<std::uint32_t>(info.size());

  std::string out(sizeof head, '\0');
  for (const Change& change : changes) {
    const std::uint32_t hash = name_hash(change.name);
    out.append(reinterpret_cast<const char*>(&hash), sizeof hash);
  }
  out += info;
  for (const Change& change : changes) {
    put_text(out, change.name);
    const char more = change.before ? with_before : '\0';
    if (!change.value) {
      out += static_cast<char>(kind_gone | more);
    } else if (const auto id = parse_hex(*change.value)) {
      out += static_cast<char>(kind_id | more);
      out += raw(*id);
    } else {
      out += static_cast<char>(kind_text | more);
      put_text(out, *change.value);
    }
    if (change.before) put_text(out, *change.before);
  }
  out.resize((out.size() + 7) / 8 * 8, '\0');
  head.size = static_cast<std::uint32_t>(out.size());
  std::memcpy(out.data(), &head, sizeof head);
  head.crc = libdeflate_crc32(0, out.data() + sizeof head.crc, out.size() - sizeof head.crc);
  std::memcpy(out.data(), &head.crc, sizeof head.crc);
  return out;
}

std::optional<Chunk> Chunk::read(std::string_view bytes) {
  if (bytes.size() < sizeof(ChunkHead)) return std::nullopt;
  const ChunkHead head = Chunk(bytes).head();
  if (head.magic != chunk_magic || head.size < sizeof head || head.size % 8 != 0 ||
      head.size > bytes.size()) {
    return std::nullopt;
  }
  const std::uint64_t known =
      sizeof head + std::uint64_t{head.changes} * sizeof(std::uint32_t) + head.info_size;
  if (known > head.size) return std::nullopt;
  if (libdeflate_crc32(0, bytes.data() + sizeof head.crc, head.size - sizeof head.crc) != head.crc) {
    return std::nullopt;
  }
  return Chunk(bytes.substr(0, head.size));
}

std::size_t Chunk::size_told(std::string_view head) {
  if (head.size() < sizeof(ChunkHead)) return 0;
  const ChunkHead told = Chunk(head).head();
  return told.magic == chunk_magic ? told.size : 0;
}

void Chunk::add_hashes(std::vector<std::uint32_t>& to) const {
  const std::size_t before = to.size();
  const std::size_t count = head().changes;
  if (count == 0) return;
  to.resize(before + count);
  std::memcpy(to.data() + before, bytes_.data() + sizeof(ChunkHead), count * sizeof(std::uint32_t));
}

CommitInfo Chunk::info() const {
  const ChunkHead head = this->head();
  TakeBytes take(bytes_.substr(sizeof head + head.changes * sizeof(std::uint32_t), head.info_size));
  CommitInfo info;
  git_oid commit{};
  std::memcpy(commit.id, head.commit.data(), sizeof commit.id);
  info.id = oid_text(commit);
  info.at = head.at;
  for (std::uint64_t count = take.number(); count > 0; --count) {
    const std::string_view parent = take.bytes(GIT_OID_RAWSZ);
    if (parent.empty()) break;
    info.parents.push_back(oid_of(parent));
  }
  info.summary = take.text();
  info.body = take.text();
  info.author = take.text();
  info.taken = static_cast<std::int64_t>(take.number());
  std::uint64_t trailers = take.number();
  info.trailers.reserve(static_cast<std::size_t>(std::min<std::uint64_t>(trailers, 16)));
  for (; trailers > 0; --trailers) {
    const std::string_view name = take.text();
    if (name.empty()) break;
    info.trailers.emplace_back(name, take.text());
  }
  return info;
}

std::optional<std::optional<std::string>> Chunk::find(std::string_view name, std::uint32_t hash) const {
  const ChunkHead head = this->head();
  const char* hashes = bytes_.data() + sizeof head;
  bool may_be = false;
  for (std::uint32_t i = 0; i < head.changes && !may_be; ++i) {
    std::uint32_t one = 0;
    std::memcpy(&one, hashes + i * sizeof one, sizeof one);
    may_be = one == hash;
  }
  if (!may_be) return std::nullopt;
  TakeBytes take(bytes_.substr(sizeof head + head.changes * sizeof hash + head.info_size));
  for (std::uint32_t i = 0; i < head.changes; ++i) {
    const OneChange change = take_change(take);
    if (change.name == name) return change.text_of_value();
  }
  return std::nullopt;
}

std::vector<Change> Chunk::changes() const {
  const ChunkHead head = this->head();
  TakeBytes take(bytes_.substr(sizeof head + head.changes * sizeof(std::uint32_t) + head.info_size));
  std::vector<Change> out;
  out.reserve(head.changes);
  for (std::uint32_t i = 0; i < head.changes; ++i) {
    const OneChange change = take_change(take);
    out.push_back({std::string(change.name), change.text_of_value(),
                   change.before ? std::optional(std::string(*change.before)) : std::nullopt});
  }
  return out;
}

void Chunk::rows(const VisitRow& visit) const {
  const ChunkHead head = this->head();
  TakeBytes take(bytes_.substr(sizeof head + head.changes * sizeof(std::uint32_t) + head.info_size));
  std::string id;
  for (std::uint32_t i = 0; i < head.changes; ++i) {
    const OneChange change = take_change(take);
    if (!change.name.starts_with('r')) continue;
    std::optional<std::string_view> now;
    if (change.kind == kind_text) now = change.value;
    if (change.kind == kind_id) now = id = oid_of(change.value);  // a value that looks like an id
    visit(change.name, change.before, now);
  }
}

}  // namespace keepway::store
