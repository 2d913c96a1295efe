#include "keepway/index.hpp"

#include <algorithm>
#include <cstring>
#include <deque>
#include <unordered_map>

#include "base/cache.hpp"
#include "index/index_diff.hpp"
#include "index/index_segment.hpp"

namespace keepway::store {
namespace {

constexpr const char* cache_name = "index";

struct RawHash {
  std::size_t operator()(const RawId& id) const {
    std::size_t hash = 0;
    std::memcpy(&hash, id.data(), sizeof hash);
    return hash;
  }
};

// Commits in the order of the index, found by their ids. Along a line the next is nearly always the one
// before the last found.
class Finder {
 public:
  void add(const IndexHead& head) { heads_.push_back(head); }
  [[nodiscard]] const std::vector<IndexHead>& heads() const { return heads_; }
  std::optional<std::size_t> find(const RawId& commit) {
    if (next_ > 0 && next_ <= heads_.size() && heads_[next_ - 1].commit == commit) return --next_;
    for (; mapped_ < heads_.size(); ++mapped_) by_commit_[heads_[mapped_].commit] = mapped_;
    const auto found = by_commit_.find(commit);
    if (found == by_commit_.end()) return std::nullopt;
    next_ = found->second;
    return next_;
  }
  // Where the search along a line begins: at the newest.
  void rewind() { next_ = heads_.size(); }

 private:
  std::vector<IndexHead> heads_;
  std::size_t next_ = 0;
  std::size_t mapped_ = 0;
  std::unordered_map<RawId, std::size_t, RawHash> by_commit_;
};

IndexHead head_of(const IndexedCommit& commit) {
  const CommitInfo& info = commit.info;
  return {raw_id(info.id), info.parents.empty() ? RawId{} : raw_id(info.parents.front()),
          commit.number ? *commit.number + 1 : 0, info.at};
}

// The line that ends at `tip`, newest first, by places in the finder. What the finder does not have is read
// from Git, added to it and to `made`. `whole`: false where what a commit changed is lost, see Index::open().
std::vector<std::size_t> read_line(const Repository& repository, const Oid& tip,
                                   const Index::Numbering& numbering, Finder& finder,
                                   std::vector<IndexedCommit>& made, const Index::MadeAgain& again,
                                   bool& whole) {
  struct Link {
    RawId commit;
    std::optional<std::size_t> place;
  };
  std::vector<Link> links;
  links.reserve(finder.heads().size());
  constexpr RawId none{};
  finder.rewind();
  for (RawId commit = raw_id(tip); commit != none;) {
    const auto place = finder.find(commit);
    links.push_back({commit, place});
    if (place) {
      commit = finder.heads()[*place].parent;
      continue;
    }
    try {
      const CommitInfo info = repository.info(text_of(commit));
      commit = info.parents.empty() ? none : raw_id(info.parents.front());
    } catch (const Error&) {
      const auto past = repository.past(text_of(commit));
      if (!past && links.size() == 1) throw;
      links.pop_back();  // of a commit that is lost the line has nothing
      commit = past ? raw_id(*past) : none;
    }
  }

  StateWalk walk(repository, again);
  const Link* before = nullptr;  // the newest backup so far whose state can be had, and what the walk is at
  const Link* at = nullptr;
  const auto can = [&](const auto& take) {
    try {
      take();
      return true;
    } catch (const Error& error) {
      if (!again || error.kind() != ErrorKind::store) throw;
      return whole = false;
    }
  };
  for (auto link = links.rbegin(); link != links.rend(); ++link) {
    bool seen = true;
    if (!link->place) {
      IndexedCommit& commit = made.emplace_back();
      commit.info = repository.info(text_of(link->commit));
      commit.number = numbering(commit.info);
      if (commit.number) {
        if (before != nullptr && at != before) can([&] { walk.begin(text_of(before->commit)); });
        seen = can([&] { commit.changes = walk.step(commit.info.id); });
        if (seen) at = &*link;
      }
      link->place = finder.heads().size();
      finder.add(head_of(commit));
    }
    if (seen && finder.heads()[*link->place].number != 0) before = &*link;
  }
  std::vector<std::size_t> line;
  line.reserve(links.size());
  for (const Link& link : links) line.push_back(*link.place);
  return line;
}

std::vector<std::string> segments_of(const std::vector<IndexedCommit>& commits) {
  std::vector<std::string> out;
  for (std::size_t first = 0; first < commits.size(); first += commits_a_segment) {
    const auto begin = commits.begin() + static_cast<std::ptrdiff_t>(first);
    const auto count = std::min(commits_a_segment, commits.size() - first);
    out.push_back(write_segment({begin, begin + static_cast<std::ptrdiff_t>(count)}));
  }
  return out;
}

std::vector<IndexedCommit> commits_of(const Segment& segment) {
  std::vector<IndexedCommit> out(segment.heads().size());
  std::vector<std::vector<Change>> changes = segment.changes();
  for (std::size_t i = 0; i < out.size(); ++i) {
    const std::uint32_t number = segment.heads()[i].number;
    out[i] = {segment.info(i), number != 0 ? std::optional(number - 1) : std::nullopt, std::move(changes[i])};
  }
  return out;
}

// The segments of the file, as long as it and what it is extended by are there.
struct Loaded {
  Cache::Records records;
  std::vector<Segment> segments;
  bool whole = true;

  explicit Loaded(const Cache& cache) : records(cache.records(cache_name)), whole(records.whole()) {
    segments.reserve(records.size());
    for (std::size_t i = 0; i < records.size(); ++i) {
      auto segment = Segment::read(records[i]);
      whole = whole && segment;
      if (segment) segments.push_back(std::move(*segment));
    }
  }
};

// Backups come in one by one, each as a segment of its own: those of a time become one, packed.
void join_segments(const Cache& cache) {
  const Loaded loaded(cache);
  std::vector<std::string_view> records;
  std::vector<IndexedCommit> single;
  for (const Segment& segment : loaded.segments) {
    if (segment.heads().size() > 1) {
      records.push_back(segment.bytes());
    } else {
      single.push_back(std::move(commits_of(segment).front()));
    }
  }
  const std::vector<std::string> joined = segments_of(single);
  records.insert(records.end(), joined.begin(), joined.end());
  cache.put(cache_name, records);
}

}  // namespace

struct Index::Impl {
  explicit Impl(const Cache& cache) : loaded(cache) {
    for (const Segment& segment : loaded.segments) add(segment);
  }
  void add(const Segment& segment) {
    for (std::size_t i = 0; i < segment.heads().size(); ++i) {
      finder.add(segment.heads()[i]);
      places.push_back(
          {static_cast<std::uint32_t>(&segment - loaded.segments.data()), static_cast<std::uint32_t>(i)});
    }
  }

  struct Place {
    std::uint32_t segment;
    std::uint32_t commit;
  };
  Loaded loaded;
  std::deque<std::string> made;  // segments that the file did not have
  Finder finder;
  std::vector<Place> places;                 // of the finder's commits
  std::vector<std::size_t> line;             // the backups among them, newest first
  std::vector<std::size_t> others;           // commits of the line that are none, newest first
  std::vector<std::vector<Change>> changes;  // of the segment last asked for
  std::optional<std::uint32_t> changes_of;

  [[nodiscard]] const IndexHead& head(std::size_t place) const { return finder.heads()[line.at(place)]; }
  [[nodiscard]] CommitInfo info(std::size_t place) const {
    const Place& at = places[line.at(place)];
    return loaded.segments[at.segment].info(at.commit);
  }
};

Index::Index(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Index::Index(Index&&) noexcept = default;
Index& Index::operator=(Index&&) noexcept = default;
Index::~Index() = default;

Index Index::open(const Repository& repository, const Oid& tip, const Numbering& numbering,
                  const MadeAgain& again) {
  const Cache cache(repository.git_folder());
  auto impl = std::make_unique<Impl>(cache);
  std::vector<IndexedCommit> made;
  bool whole = true;  // what is not is kept for this once
  for (const std::size_t place : read_line(repository, tip, numbering, impl->finder, made, again, whole)) {
    (impl->finder.heads()[place].number != 0 ? impl->line : impl->others).push_back(place);
  }
  if (made.empty() && impl->loaded.whole) return Index(std::move(impl));
  std::vector<std::string_view> records;
  for (const Segment& segment : impl->loaded.segments) records.push_back(segment.bytes());
  for (std::string& bytes : segments_of(made)) {
    records.emplace_back(impl->made.emplace_back(std::move(bytes)));
    if (impl->loaded.whole && whole) cache.append(cache_name, records.back());
    impl->loaded.segments.push_back(*Segment::read(records.back()));
    const auto segment = static_cast<std::uint32_t>(impl->loaded.segments.size() - 1);
    for (std::uint32_t i = 0; i < impl->loaded.segments.back().heads().size(); ++i)
      impl->places.push_back({segment, i});
  }
  if (!impl->loaded.whole && whole) cache.put(cache_name, records);
  return Index(std::move(impl));
}

void Index::note(const Repository& repository, const CommitInfo& backup, std::uint32_t number,
                 std::vector<Change> changes) noexcept {
  try {
    std::sort(changes.begin(), changes.end(),
              [](const Change& a, const Change& b) { return a.name < b.name; });
    const Cache cache(repository.git_folder());
    cache.append(cache_name, write_segment({{backup, number, std::move(changes)}}));
    if (number % commits_a_segment == 0) join_segments(cache);
  } catch (...) {  // NOLINT(bugprone-empty-catch): the index is derived, and made good at the next reading
  }
}

Index::Checked Index::check(const Repository& repository, const std::vector<Oid>& tips,
                            const Numbering& numbering) {
  const Loaded loaded{Cache(repository.git_folder())};
  Checked checked;
  checked.damaged = !loaded.whole;
  if (loaded.segments.empty()) return checked;
  Finder finder;  // what lines share is read once
  std::vector<IndexedCommit> read;
  bool whole = true;
  for (const Oid& tip : tips) (void)read_line(repository, tip, numbering, finder, read, {}, whole);
  for (const Segment& segment : loaded.segments) {
    for (const IndexedCommit& commit : commits_of(segment)) {
      const auto place = finder.find(raw_id(commit.info.id));
      if (!place) continue;  // of a line that is gone: nobody asks for it
      ++checked.commits;
      checked.wrong += write_segment({commit}) != write_segment({read[*place]}) ? 1U : 0U;
    }
  }
  return checked;
}

void Index::drop(const Repository& repository) noexcept {
  Cache(repository.git_folder()).drop(cache_name);
}

std::size_t Index::size() const {
  return impl_->line.size();
}

std::uint32_t Index::number(std::size_t place) const {
  return impl_->head(place).number - 1;
}

std::int64_t Index::at(std::size_t place) const {
  return impl_->head(place).at;
}

Oid Index::commit(std::size_t place) const {
  return text_of(impl_->head(place).commit);
}

std::optional<std::size_t> Index::place_of(const Oid& commit) const {
  const RawId wanted = raw_id(commit);
  for (std::size_t place = 0; place < impl_->line.size(); ++place) {
    if (impl_->head(place).commit == wanted) return place;
  }
  return std::nullopt;
}

CommitInfo Index::info(std::size_t place) const {
  return impl_->info(place);
}

std::vector<Oid> Index::others() const {
  std::vector<Oid> out;
  out.reserve(impl_->others.size());
  for (const std::size_t place : impl_->others) out.push_back(text_of(impl_->finder.heads()[place].commit));
  return out;
}

void Index::find(const std::string& name, const Found& visit) const {
  std::unordered_map<std::size_t, std::optional<std::string>> values;  // by the finder's places
  std::size_t first = 0;
  for (const Segment& segment : impl_->loaded.segments) {
    segment.find(name, [&](std::size_t commit, auto value) { values[first + commit] = std::move(value); });
    first += segment.heads().size();
  }
  for (std::size_t place = 0; place < impl_->line.size() && !values.empty(); ++place) {
    const auto found = values.find(impl_->line[place]);
    if (found != values.end()) visit(place, std::move(found->second), info(place));
  }
}

std::vector<Change> Index::changes(std::size_t place) const {
  const Impl::Place& at = impl_->places[impl_->line.at(place)];
  if (impl_->changes_of != at.segment) impl_->changes = impl_->loaded.segments[at.segment].changes();
  impl_->changes_of = at.segment;
  return impl_->changes.at(at.commit);
}

}  // namespace keepway::store
