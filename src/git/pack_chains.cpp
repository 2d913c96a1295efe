#include "git/pack_chains.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <unordered_map>
#include <utility>

#include "git/file_parts.hpp"
#include "git/inflate_stream.hpp"

namespace keepway::store {
namespace {

constexpr std::uint64_t sum_size = 20;      // of an id, and of a pack's checksum
constexpr std::size_t head_most = 10 + 20;  // type and size, then what the base is
constexpr std::size_t read_at_once = 4096;  // read at a time: entries lie close
constexpr std::size_t delta_head = 20;      // of an inflated delta: the sizes of base and result
constexpr std::size_t delta_head_packed = 256;

constexpr const char* circle = "its deltas lead in a circle";
constexpr const char* twice = "its index has two places for the base of a delta";

// Numbers of seven bits a byte, the lowest first; nullopt where the text ends within, or for too large a one.
std::optional<std::uint64_t> take_size(std::string_view& text, std::uint64_t value = 0, unsigned shift = 0) {
  for (;; shift += 7) {
    if (text.empty() || shift > 63) return std::nullopt;
    const auto byte = static_cast<unsigned char>(text.front());
    text.remove_prefix(1);
    value |= std::uint64_t{byte & 0x7fU} << shift;
    if (byte < 0x80) return value;
  }
}

// How far back a base lies: the highest first, each further byte counting from where the one before ends.
std::optional<std::uint64_t> take_distance(std::string_view& text) {
  std::uint64_t value = 0;
  for (bool first = true;; first = false) {
    if (text.empty() || value >> 56U != 0) return std::nullopt;
    const auto byte = static_cast<unsigned char>(text.front());
    text.remove_prefix(1);
    value = ((value + (first ? 0 : 1)) << 7U) | (byte & 0x7fU);
    if (byte < 0x80) return value;
  }
}

// What a delta says that its result is; nullopt where it cannot be inflated, so that nothing comes of it.
class DeltaHeads {
 public:
  std::optional<std::uint64_t> result(std::string_view packed) {
    std::array<char, delta_head> head{};
    stream_.reset();
    const InflateStream::Step step = stream_.step(packed, head.data(), head.size(), Z_SYNC_FLUSH);
    if (step.code != Z_OK && step.code != Z_STREAM_END && step.code != Z_BUF_ERROR) return std::nullopt;
    return result_of_delta({head.data(), step.given});
  }

 private:
  InflateStream stream_;
};

class DeltaChains {
 public:
  DeltaChains(const std::filesystem::path& pack, std::vector<PackPlace> places, std::uint64_t max_size)
      : file_(pack), places_(std::move(places)), max_size_(max_size) {
    if (max_size_ != any_size) heads_.emplace();
  }

  const char* fault() {
    std::vector<std::uint64_t> starts;
    starts.reserve(places_.size());
    for (const PackPlace& place : places_) starts.push_back(place.offset);
    std::sort(starts.begin(), starts.end());  // the pack is then read from its beginning to its end
    depths_.reserve(starts.size());
    for (const std::uint64_t start : starts) {
      if (const char* found = follow(start)) return found;
    }
    return nullptr;
  }

 private:
  static constexpr std::size_t under_way = SIZE_MAX;

  // Of the entry at a place and of all below it that were not met before.
  const char* follow(std::uint64_t start) {
    std::vector<std::uint64_t> chain;
    std::size_t depth = 0;
    for (std::optional<std::uint64_t> at = start; at;) {
      const auto [met, is_new] = depths_.emplace(*at, under_way);
      if (!is_new) {
        if (met->second == under_way) return circle;
        depth = met->second + 1;
        break;
      }
      chain.push_back(*at);
      at = base_of(*at);
      if (fault_ != nullptr) return fault_;
    }
    for (; !chain.empty(); chain.pop_back()) depths_[chain.back()] = depth++;
    return depth > longest_chain + 1 ? too_long_to_follow : nullptr;
  }

  // Where the base of an entry is; nullopt for a whole object, and where there is none to be found.
  std::optional<std::uint64_t> base_of(std::uint64_t at) {
    constexpr unsigned by_distance = 6;
    constexpr unsigned by_id = 7;
    std::string_view text = bytes_at(at, head_most);
    const std::size_t given = text.size();
    if (text.empty()) return std::nullopt;
    const auto first = static_cast<unsigned char>(text.front());
    text.remove_prefix(1);
    const unsigned type = first >> 4U & 7U;
    const auto size =
        first < 0x80 ? std::optional<std::uint64_t>(first & 15U) : take_size(text, first & 15U, 4);
    if (!size) return std::nullopt;
    if (*size > max_size_) fault_ = too_large_to_read;
    std::optional<std::uint64_t> base;
    if (type == by_distance) {
      const auto distance = take_distance(text);
      if (!distance || *distance == 0 || *distance >= at) return std::nullopt;
      base = at - *distance;
    } else if (type == by_id) {
      if (text.size() < sum_size) return std::nullopt;
      base = place_of(text.substr(0, sum_size));
      text.remove_prefix(sum_size);
    }
    if (heads_ && (type == by_distance || type == by_id)) {
      const auto result = heads_->result(bytes_at(at + given - text.size(), delta_head_packed));
      if (result && *result > max_size_) fault_ = too_large_to_read;
    }
    return base;
  }

  std::optional<std::uint64_t> place_of(std::string_view id) {
    const auto by_id = [](const PackPlace& a, const PackPlace& b) { return a.id < b.id; };
    if (!std::exchange(in_order_, true) && !std::is_sorted(places_.begin(), places_.end(), by_id))
      std::sort(places_.begin(), places_.end(), by_id);
    const auto found = std::lower_bound(places_.begin(), places_.end(), PackPlace{id, 0}, by_id);
    if (found == places_.end() || found->id != id) return std::nullopt;
    const auto next = std::next(found);
    if (next != places_.end() && next->id == id) fault_ = twice;  // libgit2 may follow the other
    return found->offset;
  }

  // Up to so many of the bytes before the pack's checksum; valid until the next call.
  std::string_view bytes_at(std::uint64_t at, std::size_t most) {
    const std::uint64_t end = file_.size() - std::min(file_.size(), sum_size);
    if (at >= end) return {};
    const auto wanted = static_cast<std::size_t>(std::min<std::uint64_t>(most, end - at));
    if (at < piece_at_ || at + wanted > piece_at_ + piece_.size()) {
      piece_at_ = at;
      piece_ = file_.read(at, std::min<std::uint64_t>(std::max(read_at_once, most), end - at)).value_or("");
    }
    return std::string_view(piece_).substr(std::min<std::size_t>(at - piece_at_, piece_.size()), wanted);
  }

  FileParts file_;
  std::vector<PackPlace> places_;
  bool in_order_ = false;  // of ids; most packs have no delta that needs it
  std::uint64_t max_size_;
  std::optional<DeltaHeads> heads_;
  const char* fault_ = nullptr;
  std::unordered_map<std::uint64_t, std::size_t> depths_;  // of deltas behind each place that was met
  std::uint64_t piece_at_ = 0;
  std::string piece_;
};

}  // namespace

std::optional<std::uint64_t> result_of_delta(std::string_view head) {
  const auto base = take_size(head);
  return base ? take_size(head) : std::nullopt;
}

const char* fault_in_chains(const std::filesystem::path& pack, std::vector<PackPlace> places,
                            std::uint64_t max_size) {
  return DeltaChains(pack, std::move(places), max_size).fault();
}

}  // namespace keepway::store
