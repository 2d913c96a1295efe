// Putting a block's words in the order of the normal form.
#include "reader/block_order.hpp"

#include <algorithm>

namespace keepway::reader {

// `M98 P1234 N30` names a block, and `N30 M98 P1234` is one: the first of the two stays behind the call.
void BlockReader::put_called_block_last() {
  bool first = true;
  for (std::size_t i = 0; i < count_; ++i) {  // in the order received
    std::uint64_t& key = tokens_[i].key;
    const std::uint64_t rank = key >> rank_shift;
    if (rank == rank_of('N') && !first) key = rank_late_n << rank_shift | (key & index_mask);
    first = first && (rank == rank_skip || rank == rank_first_o || rank == rank_comment);
  }
  ordered_ = std::is_sorted(tokens_.get(), tokens_.get() + count_,
                            [](const Token& a, const Token& b) { return a.key < b.key; });
}

// Three cases in which the order received counts among some words: see block.hpp.
void BlockReader::order_tokens() {
  if (calls_m98_) put_called_block_last();
  std::array<unsigned, 3> ijk{};
  bool indirect = false;
  std::size_t settings = 0;
  bool in_play = false;
  for (std::size_t i = 0; i < count_; ++i) {
    const std::uint64_t rank = tokens_[i].key >> rank_shift;
    if (rank >= rank_of('I') && rank <= rank_of('K')) {
      in_play |= ++ijk[rank - rank_of('I')] > 1;
    } else if (rank == rank_setting) {
      ++settings;
      indirect |= (tokens_[i].key >> number_shift & no_number) == no_number;
    }
  }
  const bool keep_settings = indirect && settings > 1;
  if (!in_play && !keep_settings) return;
  ordered_ = true;
  std::uint64_t last_key = 0;
  for (std::size_t i = 0; i < count_; ++i) {
    std::uint64_t& key = tokens_[i].key;
    const std::uint64_t rank = key >> rank_shift;
    if (in_play && rank >= rank_of('I') && rank <= rank_of('K')) {
      key = rank_of('I') << rank_shift | (key & index_mask);
    } else if (keep_settings && rank == rank_setting) {
      key = rank << rank_shift | (key & index_mask);
    }
    ordered_ &= key > last_key;
    last_key = key;
  }
}

void BlockReader::append_words(std::string& out) {
  std::sort(tokens_.get(), tokens_.get() + count_,
            [](const Token& a, const Token& b) { return a.key < b.key; });
  for (std::size_t i = 0; i < count_; ++i) {
    if (i > 0) out += ' ';
    out.append(buffer_.get() + tokens_[i].at, tokens_[i].length);
  }
}

}  // namespace keepway::reader
