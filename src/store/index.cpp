#include "keepway/index.hpp"

#include <algorithm>
#include <array>
#include <deque>
#include <unordered_map>

#include "store/impl.hpp"
#include "store/index_chunk.hpp"
#include "store/index_diff.hpp"
#include "store/index_file.hpp"

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
  explicit Finder(const std::vector<Chunk>& chunks) : chunks_(chunks), next_(chunks.size()) {}
  const Chunk* find(const RawId& commit) {
    if (next_ > 0 && chunks_[next_ - 1].head().commit == commit) return &chunks_[--next_];
    if (by_commit_.empty()) {
      for (std::size_t i = 0; i < chunks_.size(); ++i) by_commit_[chunks_[i].head().commit] = i;
    }
    const auto found = by_commit_.find(commit);
    if (found == by_commit_.end()) return nullptr;
    strayed_ += next_ != 0 && next_ != chunks_.size() ? 1U : 0U;
    next_ = found->second;
    return &chunks_[next_];
  }
  [[nodiscard]] std::size_t strayed() const { return strayed_; }
  [[nodiscard]] std::size_t size() const { return chunks_.size(); }

 private:
  const std::vector<Chunk>& chunks_;
  std::size_t next_;
  std::size_t strayed_ = 0;
  std::unordered_map<RawId, std::size_t, RawHash> by_commit_;
};

struct Link {
  RawId commit{};
  std::optional<Chunk> chunk;
};

// The line that ends at `tip`, newest first. Chunks that the finder does not have are made from Git, into
// `made`.
std::vector<Link> read_line(const Repository& repository, const Oid& tip, const Index::Numbering& numbering,
                            Finder& finder, std::deque<std::string>& made) {
  // The line from its tip to its root: chunks where there are, nothing where one must be made.
  std::vector<Link> links;
  links.reserve(finder.size());
  constexpr RawId none{};
  for (RawId commit = raw_id(tip); commit != none;) {
    Link& link = links.emplace_back();
    link.commit = commit;
    if (const Chunk* chunk = finder.find(commit)) {
      link.chunk = *chunk;
      commit = chunk->head().parent;
      continue;
    }
    const CommitInfo info = repository.info(text_of(commit));
    commit = info.parents.empty() ? none : raw_id(info.parents.front());
  }

  StateWalk walk(repository);
  std::optional<std::size_t> before;  // the newest backup so far, and what the walk stands on
  std::optional<std::size_t> stands;
  for (std::size_t i = links.size(); i-- > 0;) {
    Link& link = links[i];
    if (!link.chunk) {
      const CommitInfo info = repository.info(text_of(link.commit));
      const auto number = numbering(info);
      std::vector<Change> changes;
      if (number) {
        if (before && stands != before) walk.begin(text_of(links[*before].commit));
        changes = walk.step(info.id);
        stands = i;
      }
      made.push_back(write_chunk(info, number, changes));
      link.chunk = Chunk::read(made.back());
    }
    if (link.chunk->head().number != 0) before = i;
  }
  return links;
}

}  // namespace

struct Index::Impl {
  IndexFile file;
  std::deque<std::string> made;  // chunks that the file does not have yet
  std::vector<Chunk> line;       // backups, newest first

  explicit Impl(const std::filesystem::path& git_folder) : file(git_folder) {}
};

Index::Index(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Index::Index(Index&&) noexcept = default;
Index& Index::operator=(Index&&) noexcept = default;
Index::~Index() = default;

Index Index::open(const Repository& repository, const Oid& tip, const Numbering& numbering) {
  auto impl = std::make_unique<Impl>(repository.git_folder());
  impl->file.load();
  Finder finder(impl->file.chunks());

  const std::vector<Link> links = read_line(repository, tip, numbering, finder, impl->made);
  const bool missing = !impl->made.empty();

  impl->line.reserve(links.size());
  for (const Link& link : links) {
    if (link.chunk->head().number != 0) impl->line.push_back(*link.chunk);
  }
  // Out of order, as after a mending, costs a search each time: then it is written anew.
  constexpr std::size_t strayed_at_most = 64;
  if (impl->file.damaged() || finder.strayed() > strayed_at_most) {
    std::vector<std::string_view> chunks;
    std::unordered_map<RawId, bool, RawHash> on_line;
    for (const Link& link : links) on_line[link.commit] = true;
    for (const Chunk& chunk : impl->file.chunks()) {
      if (on_line.emplace(chunk.head().commit, true).second) chunks.push_back(chunk.bytes());
    }
    for (std::size_t i = links.size(); i-- > 0;) chunks.push_back(links[i].chunk->bytes());
    impl->file.replace(chunks);
  } else if (missing) {
    std::string fresh;
    for (const std::string& chunk : impl->made) fresh += chunk;
    impl->file.append(fresh);
  }
  return Index(std::move(impl));
}

std::optional<Oid> Index::visit_end(const Repository& repository, const Oid& tip, const VisitEnd& visit) {
  IndexFile file(repository.git_folder());
  file.load_end();
  Finder finder(file.chunks());
  constexpr RawId none{};
  for (RawId commit = raw_id(tip); commit != none;) {
    const Chunk* chunk = finder.find(commit);
    if (chunk == nullptr) return text_of(commit);
    const ChunkHead head = chunk->head();
    const auto number = head.number != 0 ? std::optional(head.number - 1) : std::nullopt;
    if (!visit(number, [chunk] { return chunk->info(); })) break;
    commit = head.parent;
  }
  return std::nullopt;
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
  Checked checked;
  checked.damaged = file.damaged();
  if (file.chunks().empty()) return checked;
  std::deque<std::string> made;
  std::vector<Chunk> anew;
  std::unordered_map<RawId, std::string_view, RawHash> by_commit;
  for (const Oid& tip : tips) {
    Finder finder(anew);  // what lines share is made once
    const std::size_t known = made.size();
    (void)read_line(repository, tip, numbering, finder, made);
    for (std::size_t i = known; i < made.size(); ++i) {
      anew.push_back(*Chunk::read(made[i]));
      by_commit[anew.back().head().commit] = anew.back().bytes();
    }
  }
  for (const Chunk& chunk : file.chunks()) {
    const auto found = by_commit.find(chunk.head().commit);
    if (found == by_commit.end()) continue;  // of a line that is gone: nobody asks for it
    ++checked.chunks;
    checked.wrong += found->second != chunk.bytes() ? 1U : 0U;
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
  return impl_->line[place].head().number - 1;
}

std::int64_t Index::at(std::size_t place) const {
  return impl_->line[place].head().at;
}

Oid Index::commit(std::size_t place) const {
  return text_of(impl_->line[place].head().commit);
}

std::optional<std::size_t> Index::place_of(const Oid& commit) const {
  const RawId wanted = raw_id(commit);
  for (std::size_t place = 0; place < impl_->line.size(); ++place) {
    if (impl_->line[place].head().commit == wanted) return place;
  }
  return std::nullopt;
}

CommitInfo Index::info(std::size_t place) const {
  return impl_->line[place].info();
}

void Index::find(
    const std::string& name,
    const std::function<void(std::size_t place, std::optional<std::string> value)>& visit) const {
  const std::uint32_t hash = name_hash(name);
  for (std::size_t place = 0; place < impl_->line.size(); ++place) {
    if (auto value = impl_->line[place].find(name, hash)) visit(place, std::move(*value));
  }
}

std::vector<Change> Index::changes(std::size_t place) const {
  return impl_->line[place].changes();
}

std::filesystem::path Repository::git_folder() const {
  return impl_->git_folder();
}

}  // namespace keepway::store
