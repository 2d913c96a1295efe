// One loose object's file: a zlib stream of "type size\0content", named by the SHA-1 of what it inflates to.
#include <zlib.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstring>
#include <new>

#include "audit/verify.hpp"
#include "git/inflate_stream.hpp"
#include "git/sha1.hpp"

namespace keepway::store {
namespace {

constexpr std::size_t chunk = 1U << 16U;
constexpr std::size_t max_header = 32;  // "commit 18446744073709551615\0"

Bytef* input(const char* at) {
  return reinterpret_cast<Bytef*>(const_cast<char*>(at));  // NOLINT: zlib only reads it
}

// A second compression beside the inflating: the same writer at the same level gives the same bytes.
class Again {
 public:
  Again(std::string_view file, int level) : file_(file) {
    if (deflateInit(&stream_, level) != Z_OK) throw std::bad_alloc();
  }
  Again(const Again&) = delete;
  Again& operator=(const Again&) = delete;
  Again(Again&&) = delete;
  Again& operator=(Again&&) = delete;
  ~Again() { deflateEnd(&stream_); }

  void put(const char* at, std::size_t count, int flush) {
    if (!same_) return;
    std::array<char, chunk> out{};
    stream_.next_in = input(at);
    stream_.avail_in = static_cast<uInt>(count);
    do {
      stream_.next_out = reinterpret_cast<Bytef*>(out.data());
      stream_.avail_out = static_cast<uInt>(out.size());
      deflate(&stream_, flush);
      const std::string_view made(out.data(), out.size() - stream_.avail_out);
      same_ = file_.starts_with(made);
      file_.remove_prefix(std::min(made.size(), file_.size()));
    } while (same_ && stream_.avail_out == 0);
  }
  [[nodiscard]] bool same() const { return same_ && file_.empty(); }

 private:
  std::string_view file_;
  z_stream stream_{};
  bool same_ = true;
};

// Inflates the file, handing each piece on. False when it is no whole zlib stream with nothing behind it.
template <typename Take>
bool inflate_all(std::string_view file, Take take) {
  InflateStream stream;
  std::array<char, chunk> out{};
  int code = Z_OK;
  while (code == Z_OK) {
    const auto step = stream.step(file.substr(0, chunk), out.data(), out.size());
    code = step.code;
    file.remove_prefix(step.taken);
    if ((code == Z_OK || code == Z_STREAM_END) && !take(out.data(), step.given)) break;
  }
  return code == Z_STREAM_END && file.empty();
}

bool header_is_whole(std::string_view header, std::uint64_t content) {
  const std::size_t space = header.find(' ');
  if (space == std::string_view::npos || header.back() != '\0') return false;
  const std::string_view type = header.substr(0, space);
  if (type != "blob" && type != "tree" && type != "commit" && type != "tag") return false;
  std::uint64_t size = 0;
  const char* end = header.data() + header.size() - 1;
  const auto read = std::from_chars(header.data() + space + 1, end, size);
  return read.ec == std::errc() && read.ptr == end && size == content;
}

bool written_as_usual(const std::string& file) {
  // The level that keepway and Git use for loose objects first, then Git's default and the tightest.
  for (const int level : {Z_BEST_SPEED, Z_DEFAULT_COMPRESSION, Z_BEST_COMPRESSION}) {
    Again again(file, level);
    inflate_all(file, [&](const char* at, std::size_t count) {
      again.put(at, count, Z_NO_FLUSH);
      return true;
    });
    again.put(nullptr, 0, Z_FINISH);
    if (again.same()) return true;
  }
  return false;
}

}  // namespace

const char* loose_fault(const std::string& file, const git_oid& id, bool& odd) {
  Sha1 sum;
  std::string header;
  bool header_done = false;
  std::uint64_t content = 0;
  const bool stream_whole = inflate_all(file, [&](const char* at, std::size_t count) {
    std::string_view piece(at, count);
    sum.put(piece);
    if (!header_done) {
      const std::size_t nul = std::min(piece.find('\0'), piece.size());
      header += piece.substr(0, nul + 1);
      header_done = nul < piece.size();
      piece.remove_prefix(std::min(nul + 1, piece.size()));
    }
    content += piece.size();
    return header.size() <= max_header;
  });
  if (!stream_whole) return "its file does not unpack completely";
  if (header.empty() || !header_is_whole(header, content)) return "its file does not say what it is";
  if (std::memcmp(sum.finish().data(), id.id, sizeof id.id) != 0)
    return "its content does not match its name";
  odd = !written_as_usual(file);
  return nullptr;
}

}  // namespace keepway::store
