#include "git/pack_stream.hpp"

#include <algorithm>

#include "git/pack_chains.hpp"
#include "git/pack_form.hpp"

namespace keepway::store {
namespace {

constexpr std::size_t pack_head_bytes = 12;  // "PACK", version, number of objects
constexpr std::size_t id_bytes = 20;
constexpr unsigned delta_by_distance = 6;
constexpr unsigned delta_by_id = 7;
constexpr std::size_t sizes_of_delta = 20;  // bytes in which its two sizes are

}  // namespace

const char* PackStream::put(std::string_view bytes) {
  while (!bytes.empty() && fault_ == nullptr && part_ != Part::rest) {
    std::size_t taken = 1;
    const auto byte = static_cast<unsigned char>(bytes.front());
    switch (part_) {
      case Part::head:
        gathered_ += bytes.front();
        if (gathered_.size() < pack_head_bytes) break;
        left_ = static_cast<std::uint32_t>(number_at(gathered_, 8));
        part_ = left_ == 0 ? Part::rest : Part::type;
        gathered_.clear();
        break;
      case Part::type:
        if (take_type(byte)) begin_content();
        break;
      case Part::distance:
        if (take_distance(byte)) begin_content();
        break;
      case Part::base_id:
        gathered_ += bytes.front();
        if (gathered_.size() == id_bytes) begin_content();
        break;
      case Part::content:
        taken = take_content(bytes);
        break;
      case Part::rest:
        break;
    }
    at_ += taken;
    bytes.remove_prefix(taken);
  }
  return fault_;
}

// True when an entry's content comes next.
bool PackStream::take_type(unsigned char byte) {
  if (gathered_.empty()) {
    entry_at_ = at_;
    type_ = byte >> 4U & 7U;
    size_ = byte & 15U;
    shift_ = 4;
  } else if (shift_ > 63) {
    part_ = Part::rest;
    return false;
  } else {
    size_ |= std::uint64_t{byte & 0x7fU} << shift_;
    shift_ += 7;
  }
  gathered_ += static_cast<char>(byte);
  if (byte >= 0x80) return false;
  gathered_.clear();
  if (size_ > max_size_) fault_ = too_large_to_read;
  if (type_ != delta_by_distance && type_ != delta_by_id) return true;
  part_ = type_ == delta_by_id ? Part::base_id : Part::distance;
  return false;
}

bool PackStream::take_distance(unsigned char byte) {
  if (gathered_.empty()) {
    distance_ = byte & 0x7fU;
  } else {
    distance_ = ((distance_ + 1) << 7U) | (byte & 0x7fU);
  }
  gathered_ += static_cast<char>(byte);
  if (gathered_.size() > 8) part_ = Part::rest;
  return byte < 0x80 && part_ != Part::rest;
}

void PackStream::begin_content() {
  std::size_t depth = 0;
  if (type_ == delta_by_distance) {
    const auto base = depths_.find(entry_at_ - std::min(distance_, entry_at_));
    depth = base == depths_.end() ? 1 : base->second + 1;
  }
  if (depth > longest_chain) fault_ = too_long_to_follow;
  depths_[entry_at_] = depth;
  gathered_.clear();
  delta_head_.clear();
  given_ = 0;
  inflater_.reset();
  part_ = Part::content;
}

// How many bytes it took.
std::size_t PackStream::take_content(std::string_view bytes) {
  const auto [code, taken, got] = inflater_.step(bytes, room_.data(), room_.size());
  given_ += got;
  if (given_ > size_) fault_ = "it holds an object that is longer than it says";
  if (type_ == delta_by_distance || type_ == delta_by_id) {
    delta_head_.append(room_.data(), std::min(got, sizes_of_delta - delta_head_.size()));
    if (delta_head_.size() == sizes_of_delta || code == Z_STREAM_END) look_at_delta();
  }
  if (code == Z_STREAM_END) {
    part_ = --left_ == 0 ? Part::rest : Part::type;
  } else if (code != Z_OK) {
    part_ = Part::rest;
  }
  return taken;
}

void PackStream::look_at_delta() {
  const auto result = result_of_delta(delta_head_);
  if (result && *result > max_size_) fault_ = too_large_to_read;
}

}  // namespace keepway::store
