#include "keepway/index.hpp"

#include <algorithm>
#include <array>
#include <deque>
#include <unordered_map>

#include "store/impl.hpp"
#include "index/index_chunk.hpp"
#include "index/index_diff.hpp"
#include "index/index_file.hpp"

namespace keepway::store {
namespace {

using RawId = std::array<unsigned char, GIT_OID_RAWSZ>;

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

struct RawHash {
  std::size_t operator()(const RawId& id) const {
    std::size_t hash = 0;
    std::memcpy(&hash, id.data(), sizeof hash);
    return hash;
  }
};

// Finds the chunk of a commit. Along a line it is nearly always the one above the last found.
class Finder {
 public:
  explicit Finder(const std::vector<ChunkHead>& heads) : heads_(heads), next_(heads.size()) {}
  std::optional<std::size_t> find(const RawId& commit) {
    if (next_ > 0 && heads_[next_ - 1].commit == commit) return --next_;
    if (by_commit_.empty()) {
      for (std::size_t i = 0; i < heads_.size(); ++i) by_commit_[heads_[i].commit] = i;
    }
    const auto found = by_commit_.find(commit);
    if (found == by_commit_.end()) return std::nullopt;
    strayed_ += next_ != 0 && next_ != heads_.size() ? 1U : 0U;
    next_ = found->second;
    return next_;
  }
  [[nodiscard]] std::size_t strayed() const { return strayed_; }
  [[nodiscard]] const std::vector<ChunkHead>& heads() const { return heads_; }

 private:
  const std::vector<ChunkHead>& heads_;
  std::size_t next_;
  std::size_t strayed_ = 0;
  std::unordered_map<RawId, std::size_t, RawHash> by_commit_;
};

struct Link {
  ChunkHead head;                   // of a chunk that is yet to be made: only its commit
  std::optional<std::size_t> held;  // number of the chunk that the finder has
  std::string_view made;            // else the chunk
  [[nodiscard]] bool known() const { return held || !made.empty(); }
};

// The line that ends at `tip`, newest first. Chunks that the finder does not have are made from Git, into
// `made`.
std::vector<Link> read_line(const Repository& repository, const Oid& tip, const Index::Numbering& numbering,
                            Finder& finder, std::deque<std::string>& made) {
  // The line from its tip to its root: chunks where there are, nothing where one must be made.
  std::vector<Link> links;
  links.reserve(finder.heads().size());
  constexpr RawId none{};
  for (RawId commit = raw_id(tip); commit != none;) {
    Link& link = links.emplace_back();
    link.held = finder.find(commit);
    if (link.held) {
      link.head = finder.heads()[*link.held];
      commit = link.head.parent;
      continue;
    }
    link.head.commit = commit;
    const CommitInfo info = repository.info(text_of(commit));
    commit = info.parents.empty() ? none : raw_id(info.parents.front());
  }

  StateWalk walk(repository);
  std::optional<std::size_t> before;  // the newest backup so far, and what the walk stands on
  std::optional<std::size_t> stands;
  for (std::size_t i = links.size(); i-- > 0;) {
    Link& link = links[i];
    if (!link.known()) {
      const CommitInfo info = repository.info(text_of(link.head.commit));
      const auto number = numbering(info);
      std::vector<Change> changes;
      if (number) {
        if (before && stands != before) walk.begin(text_of(links[*before].head.commit));
        changes = walk.step(info.id);
        stands = i;
      }
      link.made = made.emplace_back(write_chunk(info, number, changes));
      link.head = Chunk::read(link.made)->head();
    }
    if (link.head.number != 0) before = i;
  }
  return links;
}

}  // namespace

struct Index::Impl {
  const std::filesystem::path folder;
  const Oid tip;
  const Numbering numbering;
  IndexFile file;
  std::deque<std::string> made;  // chunks that the file does not have yet
  std::vector<Link> line;        // backups, newest first
  bool whole = false;            // the file was gone through: no chunk is known by its head alone

  Impl(const Repository& from, Oid newest, Numbering number_of)
      : folder(from.folder()),
        tip(std::move(newest)),
        numbering(std::move(number_of)),
        file(from.git_folder()) {}
  void read(const Repository& repository);
  Chunk chunk(std::size_t place);
  std::optional<Chunk> chunk(const Link& link) {
    return link.held ? file.chunk(*link.held) : Chunk::read(link.made);
  }
  void write_anew(const std::vector<Link>& links);
};

void Index::Impl::read(const Repository& repository) {
  whole ? file.load_whole() : file.load();
  Finder finder(file.heads());
  made.clear();
  const std::vector<Link> links = read_line(repository, tip, numbering, finder, made);

  line.clear();
  line.reserve(links.size());
  for (const Link& link : links) {
    if (link.head.number != 0) line.push_back(link);
  }
  // Out of order, as after a mending, costs a search each time: then it is written anew.
  constexpr std::size_t strayed_at_most = 64;
  if (file.damaged() || finder.strayed() > strayed_at_most) {
    write_anew(links);
  } else if (!made.empty()) {
    std::string fresh;
    for (const std::string& one : made) fresh += one;
    file.append(fresh);
  }
}

// Valid until the next is asked for.
Chunk Index::Impl::chunk(std::size_t place) {
  auto found = chunk(line[place]);
  if (!found && !whole) {  // damaged, or replaced since its head was written down
    whole = true;
    read(Repository::open(folder));  // the line is of the same backups
    found = chunk(line.at(place));
  }
  if (found) return *found;
  throw Error(ErrorKind::store, "the index of item changes cannot be read",
              "run the command again; it is made anew from what is stored");
}

// What is not of this line first, then the line in its order.
void Index::Impl::write_anew(const std::vector<Link>& links) {
  std::vector<Link> all;
  std::unordered_map<RawId, bool, RawHash> there;
  for (const Link& link : links) there[link.head.commit] = true;
  for (std::size_t i = 0; i < file.heads().size(); ++i) {
    const ChunkHead& head = file.heads()[i];
    if (there.emplace(head.commit, true).second) all.push_back({head, i, {}});
  }
  all.insert(all.end(), links.rbegin(), links.rend());
  file.replace([&, next = all.begin()]() mutable {
    std::optional<Chunk> one;
    while (next != all.end() && !one) one = chunk(*next++);
    return one ? one->bytes() : std::string_view();
  });
}

Index::Index(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Index::Index(Index&&) noexcept = default;
Index& Index::operator=(Index&&) noexcept = default;
Index::~Index() = default;

Index Index::open(const Repository& repository, const Oid& tip, const Numbering& numbering) {
  auto impl = std::make_unique<Impl>(repository, tip, numbering);
  impl->read(repository);
  return Index(std::move(impl));
}

void Index::note(const Repository& repository, const CommitInfo& backup, std::uint32_t number,
                 std::vector<Change> changes) noexcept {
  try {
    std::sort(changes.begin(), changes.end(),
              [](const Change& a, const Change& b) { return a.name < b.name; });
    IndexFile(repository.git_folder()).append(write_chunk(backup, number, changes));
  } catch (...) {  // NOLINT(bugprone-empty-catch): the index is derived, and made good at the next reading
  }
}

Index::Checked Index::check(const Repository& repository, const std::vector<Oid>& tips,
                            const Numbering& numbering) {
  IndexFile file(repository.git_folder());
  file.load();
  const std::vector<ChunkHead> by_heads = file.heads();
  file.load_whole();
  Checked checked;
  checked.damaged = file.damaged() || by_heads != file.heads();
  if (file.heads().empty()) return checked;
  std::deque<std::string> made;
  std::vector<ChunkHead> anew;
  std::unordered_map<RawId, std::string_view, RawHash> by_commit;
  for (const Oid& tip : tips) {
    Finder finder(anew);  // what lines share is made once
    const std::size_t known = made.size();
    (void)read_line(repository, tip, numbering, finder, made);
    for (std::size_t i = known; i < made.size(); ++i) {
      anew.push_back(Chunk::read(made[i])->head());
      by_commit[anew.back().commit] = made[i];
    }
  }
  for (std::size_t i = 0; i < file.heads().size(); ++i) {
    const auto found = by_commit.find(file.heads()[i].commit);
    if (found == by_commit.end()) continue;  // of a line that is gone: nobody asks for it
    ++checked.chunks;
    const auto chunk = file.chunk(i);
    checked.wrong += !chunk || found->second != chunk->bytes() ? 1U : 0U;
  }
  return checked;
}

void Index::forget(const Repository& repository) noexcept {
  IndexFile(repository.git_folder()).remove();
}

std::size_t Index::size() const {
  return impl_->line.size();
}

std::uint32_t Index::number(std::size_t place) const {
  return impl_->line[place].head.number - 1;
}

std::int64_t Index::at(std::size_t place) const {
  return impl_->line[place].head.at;
}

Oid Index::commit(std::size_t place) const {
  return text_of(impl_->line[place].head.commit);
}

std::optional<std::size_t> Index::place_of(const Oid& commit) const {
  const RawId wanted = raw_id(commit);
  for (std::size_t place = 0; place < impl_->line.size(); ++place) {
    if (impl_->line[place].head.commit == wanted) return place;
  }
  return std::nullopt;
}

CommitInfo Index::info(std::size_t place) const {
  return impl_->chunk(place).info();
}

void Index::find(const std::string& name, const Found& visit) const {
  const std::uint32_t hash = name_hash(name);
  for (std::size_t place = 0; place < impl_->line.size(); ++place) {
    const Link& link = impl_->line[place];
    if (link.held && !impl_->file.may_hold(*link.held, hash)) continue;
    const Chunk chunk = impl_->chunk(place);
    if (auto value = chunk.find(name, hash)) visit(place, std::move(*value), chunk.info());
  }
}

std::vector<Change> Index::changes(std::size_t place) const {
  return impl_->chunk(place).changes();
}

IndexEnd::IndexEnd(const Repository& repository)
    : file_(std::make_unique<IndexFile>(repository.git_folder())) {
  file_->load_end();
}
IndexEnd::IndexEnd(IndexEnd&&) noexcept = default;
IndexEnd& IndexEnd::operator=(IndexEnd&&) noexcept = default;
IndexEnd::~IndexEnd() = default;

std::optional<Oid> IndexEnd::visit(const Oid& tip, const Visit& visit) const {
  Finder finder(file_->heads());
  constexpr RawId none{};
  for (RawId commit = raw_id(tip); commit != none;) {
    const auto held = finder.find(commit);
    if (!held) return text_of(commit);
    const ChunkHead& head = file_->heads()[*held];
    const auto number = head.number != 0 ? std::optional(head.number - 1) : std::nullopt;
    const auto info = [&] {
      const auto chunk = file_->chunk(*held);
      return chunk ? chunk->info() : CommitInfo();
    };
    if (!visit(number, info)) break;
    commit = head.parent;
  }
  return std::nullopt;
}

bool IndexEnd::rows_between(const Oid& older, const Oid& newer, const VisitRow& visit) const {
  Finder finder(file_->heads());
  const RawId stop = raw_id(older);
  std::vector<std::size_t> passed;  // the newest first
  std::size_t size = 0;
  for (RawId commit = raw_id(newer); commit != stop;) {
    const auto held = finder.find(commit);
    if (!held || passed.size() == file_->heads().size()) return false;  // not there; or forged to go round
    passed.push_back(*held);
    size += file_->heads()[*held].size;
    commit = file_->heads()[*held].parent;
  }
  struct Ends {
    std::optional<std::string_view> before;
    std::optional<std::string_view> after;
  };
  std::unordered_map<std::string_view, Ends> rows;
  std::deque<std::string> ids;
  std::string bytes;  // what the views look at
  bytes.reserve(size);
  const std::vector<Chunk> chunks = [&] {
    std::vector<Chunk> read;
    for (const std::size_t one : passed) {
      const auto chunk = file_->chunk(one);
      if (!chunk) break;
      const std::size_t begin = bytes.size();
      bytes += chunk->bytes();
      read.push_back(*Chunk::read(std::string_view(bytes).substr(begin)));
    }
    return read;
  }();
  if (chunks.size() != passed.size()) return false;
  for (auto chunk = chunks.rbegin(); chunk != chunks.rend(); ++chunk) {
    chunk->rows([&](std::string_view name, auto before, auto now) {
      if (now && (now->data() < bytes.data() || now->data() >= bytes.data() + bytes.size()))
        now = ids.emplace_back(*now);
      rows.try_emplace(name, Ends{before, now}).first->second.after = now;
    });
  }
  for (const auto& [name, ends] : rows) {
    if (ends.before != ends.after) visit(name, ends.before, ends.after);
  }
  return true;
}

std::filesystem::path Repository::git_folder() const {
  return impl_->git_folder();
}

}  // namespace keepway::store
