#include "index/index_segment.hpp"

#include <libdeflate.h>

#include <algorithm>
#include <cstring>
#include <map>
#include <memory>
#include <new>

#include "base/bytes.hpp"
#include "git/git.hpp"
#include "git/raw_object.hpp"

namespace keepway::store {
namespace {

constexpr std::uint8_t form = 1;  // raised when the form or the meaning of a segment changes
constexpr std::size_t messages_a_part = 32;
constexpr std::size_t bytes_a_name_part = std::size_t{8} << 10U;
constexpr std::uint64_t most_inflated = 1032;  // times its size: deflate gives no more

// How a change's value is written.
enum : std::uint8_t { kind_gone, kind_text, kind_id };

std::string_view raw(const RawId& id) {
  return {reinterpret_cast<const char*>(id.data()), id.size()};
}

RawId take_id(TakeBytes& take) {
  RawId id{};
  const std::string_view bytes = take.bytes(id.size());
  std::memcpy(id.data(), bytes.data(), bytes.size());
  return id;
}

// As it is where packing gains nothing, which its size tells.
std::string packed(std::string_view part) {
  struct Free {
    void operator()(libdeflate_compressor* compressor) const { libdeflate_free_compressor(compressor); }
  };
  thread_local const std::unique_ptr<libdeflate_compressor, Free> compressor(libdeflate_alloc_compressor(6));
  if (!compressor) throw std::bad_alloc();
  std::string out(part.size(), '\0');
  const std::size_t size =
      libdeflate_deflate_compress(compressor.get(), part.data(), part.size(), out.data(), out.size());
  if (size == 0 || size >= part.size()) return std::string(part);
  out.resize(size);
  return out;
}

std::string unpacked(std::string_view part, std::size_t size) {
  if (part.size() == size) return std::string(part);
  struct Free {
    void operator()(libdeflate_decompressor* made) const { libdeflate_free_decompressor(made); }
  };
  thread_local const std::unique_ptr<libdeflate_decompressor, Free> decompressor(
      libdeflate_alloc_decompressor());
  if (!decompressor) throw std::bad_alloc();
  std::string out(size, '\0');
  const auto result = libdeflate_deflate_decompress(decompressor.get(), part.data(), part.size(), out.data(),
                                                    out.size(), nullptr);
  return result == LIBDEFLATE_SUCCESS ? out : std::string();
}

std::string message_of(const CommitInfo& info) {
  std::string out;
  put_number(out, info.parents.empty() ? 0 : info.parents.size() - 1);
  for (std::size_t i = 1; i < info.parents.size(); ++i) out += raw(raw_id(info.parents[i]));
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

CommitInfo read_message(std::string_view message) {
  TakeBytes take(message);
  CommitInfo info;
  for (std::uint64_t more = take.number(); more > 0 && take.sound(); --more)
    info.parents.push_back(text_of(take_id(take)));
  info.summary = take.text();
  info.body = take.text();
  info.author = take.text();
  info.taken = static_cast<std::int64_t>(take.number());
  for (std::uint64_t more = take.number(); more > 0 && take.sound(); --more) {
    const std::string_view name = take.text();
    info.trailers.emplace_back(name, take.text());
  }
  return info;
}

// What commits did to one name.
struct Step {
  std::size_t commit;
  const std::optional<std::string>* value;
};

void put_steps(std::string& out, std::string_view name, const std::vector<Step>& steps) {
  put_text(out, name);
  put_number(out, steps.size());
  for (const Step& step : steps) {
    put_number(out, step.commit);
    if (!*step.value) {
      out += static_cast<char>(kind_gone);
    } else if (const auto id = parse_hex(**step.value)) {
      out += static_cast<char>(kind_id);
      out += raw(raw_id(**step.value));
    } else {
      out += static_cast<char>(kind_text);
      put_text(out, **step.value);
    }
  }
}

std::optional<std::string> take_value(TakeBytes& take) {
  switch (take.byte()) {
    case kind_text:
      return std::string(take.text());
    case kind_id:
      return text_of(take_id(take));
    default:
      return std::nullopt;
  }
}

// Goes through a name part; `want` says whether a name's steps are wanted.
void visit_names(std::string_view part, const auto& want, const auto& step) {
  TakeBytes take(part);
  while (!take.rest().empty() && take.sound()) {
    const std::string_view name = take.text();
    const bool wanted = want(name);
    for (std::uint64_t more = take.number(); more > 0 && take.sound(); --more) {
      const std::uint64_t commit = take.number();
      auto value = take_value(take);
      if (wanted && take.sound()) step(name, commit, std::move(value));
    }
  }
}

}  // namespace

RawId raw_id(const Oid& oid) {
  const git_oid id = parse_oid(oid);
  RawId raw{};
  std::memcpy(raw.data(), id.id, raw.size());
  return raw;
}

Oid text_of(const RawId& raw) {
  git_oid id{};
  std::memcpy(id.id, raw.data(), raw.size());
  return oid_text(id);
}

std::string write_segment(const std::vector<IndexedCommit>& commits) {
  std::string out(1, static_cast<char>(form));
  std::string parts;
  const auto put_part = [&](std::string& part) {
    const std::string bytes = commits.size() == 1 ? part : packed(part);
    put_number(out, bytes.size());
    put_number(out, part.size());
    parts += bytes;
    part.clear();
  };

  put_number(out, commits.size());
  RawId before{};
  for (const IndexedCommit& commit : commits) {
    const CommitInfo& info = commit.info;
    const RawId parent = info.parents.empty() ? RawId{} : raw_id(info.parents.front());
    out += raw(raw_id(info.id));
    out += parent == before ? '\0' : '\1';
    if (parent != before) out += raw(parent);
    put_number(out, commit.number ? *commit.number + std::uint64_t{1} : 0);
    put_number(out, static_cast<std::uint64_t>(info.at));
    before = raw_id(info.id);
  }

  std::string part;
  for (std::size_t i = 0; i < commits.size(); ++i) {
    put_text(part, message_of(commits[i].info));
    if ((i + 1) % messages_a_part == 0 || i + 1 == commits.size()) put_part(part);
  }

  std::map<std::string_view, std::vector<Step>> by_name;
  for (std::size_t i = 0; i < commits.size(); ++i) {
    for (const Change& change : commits[i].changes) by_name[change.name].push_back({i, &change.value});
  }
  std::string names;
  std::swap(out, names);  // `put_part` writes into `out`: the number of name parts is before them
  std::size_t count = 0;
  std::string_view first;
  for (auto name = by_name.begin(); name != by_name.end(); ++name) {
    if (part.empty()) first = name->first;
    put_steps(part, name->first, name->second);
    if (part.size() < bytes_a_name_part && std::next(name) != by_name.end()) continue;
    put_text(out, first);
    put_part(part);
    ++count;
  }
  std::swap(out, names);
  put_number(out, count);
  out += names;
  return out + parts;
}

std::optional<Segment> Segment::read(std::string_view bytes) {
  TakeBytes take(bytes);
  if (take.byte() != form) return std::nullopt;
  Segment segment;
  segment.bytes_ = bytes;
  const std::uint64_t commits = take.number();
  if (commits == 0 || commits > bytes.size() / sizeof(RawId)) return std::nullopt;
  segment.heads_.resize(static_cast<std::size_t>(commits));
  RawId before{};
  for (IndexHead& head : segment.heads_) {
    head.commit = take_id(take);
    head.parent = take.byte() == 0 ? before : take_id(take);
    head.number = static_cast<std::uint32_t>(take.number());
    head.at = static_cast<std::int64_t>(take.number());
    before = head.commit;
  }
  std::uint64_t size = 0;
  std::vector<std::uint64_t> sizes;
  const auto take_part = [&](std::vector<Part>& parts, std::string_view name) {
    const std::uint64_t packed_size = take.number();
    const std::uint64_t whole_size = take.number();
    const bool right = take.sound() && packed_size <= bytes.size() - size && packed_size <= whole_size &&
                       whole_size / most_inflated <= packed_size;
    if (!right) return false;
    parts.push_back({name, {}, static_cast<std::size_t>(whole_size)});
    sizes.push_back(packed_size);
    size += packed_size;
    return true;
  };
  for (std::uint64_t i = 0; i < (commits + messages_a_part - 1) / messages_a_part; ++i) {
    if (!take_part(segment.messages_, {})) return std::nullopt;
  }
  for (std::uint64_t more = take.number(); more > 0; --more) {
    const std::string_view first = take.text();
    if (!take_part(segment.names_, first)) return std::nullopt;
  }
  if (!take.sound() || take.rest().size() != size) return std::nullopt;
  auto next = sizes.begin();
  for (std::vector<Part>* parts : {&segment.messages_, &segment.names_}) {
    for (Part& part : *parts) part.packed = take.bytes(*next++);
  }
  return segment;
}

// Valid until the next part is asked for.
std::string_view Segment::open(const Part& part, Opened& opened) {
  if (opened.part != part.packed.data()) opened = {part.packed.data(), unpacked(part.packed, part.size)};
  return opened.bytes;
}

CommitInfo Segment::info(std::size_t commit) const {
  TakeBytes take(open(messages_.at(commit / messages_a_part), opened_message_));
  for (std::size_t i = 0; i < commit % messages_a_part; ++i) (void)take.text();
  CommitInfo info = read_message(take.text());
  const IndexHead& head = heads_.at(commit);
  info.id = text_of(head.commit);
  info.at = head.at;
  if (head.parent != RawId{}) info.parents.insert(info.parents.begin(), text_of(head.parent));
  return info;
}

void Segment::find(std::string_view name, const Found& visit) const {
  const auto after =
      std::upper_bound(names_.begin(), names_.end(), name,
                       [](std::string_view one, const Part& part) { return one < part.first_name; });
  if (after == names_.begin()) return;
  visit_names(
      open(*std::prev(after), opened_name_), [&](std::string_view one) { return one == name; },
      [&](std::string_view, std::uint64_t commit, std::optional<std::string> value) {
        if (commit < heads_.size()) visit(static_cast<std::size_t>(commit), std::move(value));
      });
}

std::vector<std::vector<Change>> Segment::changes() const {
  std::vector<std::vector<Change>> out(heads_.size());
  for (const Part& part : names_) {
    visit_names(
        open(part, opened_name_), [](std::string_view) { return true; },
        [&](std::string_view name, std::uint64_t commit, std::optional<std::string> value) {
          if (commit < out.size())
            out[static_cast<std::size_t>(commit)].push_back({std::string(name), std::move(value)});
        });
  }
  return out;
}

}  // namespace keepway::store
