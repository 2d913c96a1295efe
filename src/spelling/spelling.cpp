#include "keepway/spelling.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <unordered_map>
#include <unordered_set>

#include "base/encoding.hpp"
#include "compare/align.hpp"
#include "reader/read_set.hpp"
#include "spelling/written.hpp"

namespace keepway {
namespace {

class Comparison {
 public:
  Comparison(const FileLines& before, const FileLines& after, bool values_same, SpelledFile& out)
      : before_(before), after_(after), values_same_(values_same), out_(out) {}

  void run() {
    const auto same = [](const FileLine& a, const FileLine& b) { return a.raw == b.raw; };
    while (front_ < std::min(before_.size(), after_.size()) && same(before_[front_], after_[front_]))
      ++front_;
    before_end_ = before_.size();
    after_end_ = after_.size();
    while (before_end_ > front_ && after_end_ > front_ &&
           same(before_[before_end_ - 1], after_[after_end_ - 1])) {
      --before_end_;
      --after_end_;
    }
    // Lines that say something are distinguished by that, others by their bytes.
    const std::vector<std::uint32_t> was = numbers(before_, before_end_);
    const std::vector<std::uint32_t> is = numbers(after_, after_end_);
    const Alignment kept = align(was, is);
    note_meanings(kept);
    std::size_t a = 0;
    std::size_t b = 0;
    while (a < was.size() || b < is.size()) {
      const std::size_t a_begin = a;
      const std::size_t b_begin = b;
      while (a < was.size() && !kept.before[a]) ++a;
      while (b < is.size() && !kept.after[b]) ++b;
      if (a > a_begin || b > b_begin) {
        add_stretch(a_begin, a, b_begin, b);
        continue;
      }
      if (before_[front_ + a].raw != after_[front_ + b].raw) add(front_ + a, front_ + b);
      ++a;
      ++b;
    }
  }

 private:
  static constexpr std::size_t none = SIZE_MAX;

  std::vector<std::uint32_t> numbers(const FileLines& lines, std::size_t end) {
    std::vector<std::uint32_t> out;
    for (std::size_t i = front_; i < end; ++i) {
      const FileLine& line = lines[i];
      const bool says_nothing = line.meaning.empty();
      const std::string_view key = says_nothing ? line.raw : std::string_view(line.meaning);
      const auto next = static_cast<std::uint32_t>(ids_.size() + raw_ids_.size());
      out.push_back((says_nothing ? raw_ids_ : ids_).try_emplace(key, next).first->second);
    }
    return out;
  }

  void note_meanings(const Alignment& kept) {
    for (std::size_t i = 0; i < kept.before.size(); ++i) {
      if (!kept.before[i]) before_meanings_.insert(before_[front_ + i].meaning);
    }
    for (std::size_t i = 0; i < kept.after.size(); ++i) {
      if (!kept.after[i]) after_meanings_.insert(after_[front_ + i].meaning);
    }
  }

  // Whether a line without a partner counts as spelled otherwise: it says nothing, or the same elsewhere.
  [[nodiscard]] bool is_spelling(const FileLine& line,
                                 const std::unordered_set<std::string_view>& other) const {
    return values_same_ || line.meaning.empty() || other.contains(line.meaning);
  }

  void add_stretch(std::size_t a, std::size_t a_end, std::size_t b, std::size_t b_end) {
    while (a < a_end || b < b_end) {
      while (a < a_end && !is_spelling(before_[front_ + a], after_meanings_)) ++a;
      while (b < b_end && !is_spelling(after_[front_ + b], before_meanings_)) ++b;
      if (a >= a_end && b >= b_end) return;
      add(a < a_end ? front_ + a : none, b < b_end ? front_ + b : none);
      a += a < a_end ? 1 : 0;
      b += b < b_end ? 1 : 0;
    }
  }

  void add(std::size_t a, std::size_t b) {
    if (++out_.count > SpelledFile::most_lines) return;
    SpelledLine& line = out_.lines.emplace_back();
    if (a != none) {
      line.before_line = a + 1;
      line.before = before_[a].raw;
    }
    if (b != none) {
      line.after_line = b + 1;
      line.after = after_[b].raw;
    }
  }

  const FileLines& before_;
  const FileLines& after_;
  const bool values_same_;
  SpelledFile& out_;
  std::size_t front_ = 0;
  std::size_t before_end_ = 0;
  std::size_t after_end_ = 0;
  std::unordered_map<std::string_view, std::uint32_t> ids_;      // by what a line says
  std::unordered_map<std::string_view, std::uint32_t> raw_ids_;  // of those that say nothing, by their bytes
  std::unordered_set<std::string_view> before_meanings_;
  std::unordered_set<std::string_view> after_meanings_;
};

// Lines as received are shown in the character set that the layout says.
void show_in_utf8(const Written& side, std::size_t file, std::string SpelledLine::*text,
                  std::vector<SpelledLine>& lines) {
  const FileFacts& facts = side.reading().files[file];
  if (facts.source == FileFacts::no_source || facts.parity) return;
  const Encoding encoding(side.side().layout.sources[facts.source].encoding);
  for (SpelledLine& line : lines) line.*text = encoding.to_utf8(line.*text);
}

// To the files that they are of, which may not be listed for anything else.
void add_overruled(const std::vector<OverruledIn>& overruled, std::vector<SpelledFile>& files) {
  if (overruled.empty()) return;
  std::unordered_map<std::string, std::size_t> places;
  for (std::size_t i = 0; i < files.size(); ++i) places.emplace(files[i].name, i);
  for (const OverruledIn& each : overruled) {
    const auto [place, fresh] = places.try_emplace(each.file, files.size());
    if (fresh) files.emplace_back().name = each.file;
    SpelledFile& file = files[place->second];
    if (++file.overruled_count <= SpelledFile::most_lines) file.overruled.push_back(each.change);
  }
}

}  // namespace

std::vector<SpelledFile> compare_spelling(const SpelledSide& before, const SpelledSide& after,
                                          Changes& changes) {
  return compare_spelling(Written(before, read_set(before.set, before.layout, before.context)),
                          Written(after, read_set(after.set, after.layout, after.context)), changes);
}

std::vector<SpelledFile> compare_spelling(const Written& was, const Written& is, Changes& changes) {
  const std::vector<OverruledIn> overruled = compare_overruled(was, is);
  const bool values_same = changes.empty() && overruled.empty();
  const SpelledSide& before = was.side();
  const SpelledSide& after = is.side();
  explain_points(was, is, changes);
  std::vector<SpelledFile> out;
  std::unordered_map<std::string_view, std::size_t> old;
  for (std::size_t i = 0; i < before.set.files.size(); ++i) old.emplace(before.set.files[i].name, i);
  for (std::size_t i = 0; i < after.set.files.size(); ++i) {
    const media::File& file = after.set.files[i];
    SpelledFile found;
    found.name = file.name;
    const auto same = old.find(file.name);
    found.read = is.read(i);
    if (same == old.end()) {
      found.came = values_same || found.read != SpelledFile::Read::yes;
    } else {
      const std::size_t place = same->second;
      old.erase(same);
      if (before.set.files[place].bytes == file.bytes) continue;
      if (was.read(place) == SpelledFile::Read::yes) found.read = SpelledFile::Read::yes;
      // Then each line that differs says what no line of the other file says, since each item is given once.
      if (!values_same && is.differs_in_values_alone(i, was, place)) continue;
      const FileLines old_lines = was.lines(place);
      const FileLines new_lines = is.lines(i);
      Comparison(old_lines, new_lines, values_same, found).run();
      show_in_utf8(was, place, &SpelledLine::before, found.lines);
      show_in_utf8(is, i, &SpelledLine::after, found.lines);
    }
    if (found.came || found.count > 0) out.push_back(std::move(found));
  }
  for (const auto& [name, place] : old) {
    const SpelledFile::Read read = was.read(place);
    if (!values_same && read == SpelledFile::Read::yes) continue;
    SpelledFile& gone = out.emplace_back();
    gone.name = name;
    gone.read = read;
    gone.gone = true;
  }
  add_overruled(overruled, out);
  std::sort(out.begin(), out.end(),
            [](const SpelledFile& a, const SpelledFile& b) { return a.name < b.name; });
  return out;
}

}  // namespace keepway
