#include "pack_maker.hpp"

#include <fmt/format.h>
#include <openssl/evp.h>
#include <zlib.h>

#include <algorithm>
#include <array>
#include <map>
#include <memory>
#include <stdexcept>

namespace scenario {
namespace {

// Bytes, and zeros behind them, in pieces.
template <typename Visit>
void pieces(const std::string& bytes, std::size_t zeros, Visit visit) {
  visit(bytes);
  const std::string some(std::size_t{1} << 16U, '\0');
  for (; zeros > 0; zeros -= std::min(zeros, some.size()))
    visit(some.substr(0, std::min(zeros, some.size())));
}

std::string sha1(const std::string& bytes, std::size_t zeros = 0) {
  const std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context(EVP_MD_CTX_new(), EVP_MD_CTX_free);
  std::array<unsigned char, EVP_MAX_MD_SIZE> sum{};
  unsigned size = 0;
  EVP_DigestInit_ex(context.get(), EVP_sha1(), nullptr);
  pieces(bytes, zeros,
         [&](const std::string& piece) { EVP_DigestUpdate(context.get(), piece.data(), piece.size()); });
  if (EVP_DigestFinal_ex(context.get(), sum.data(), &size) != 1) throw std::runtime_error("SHA-1");
  return {reinterpret_cast<const char*>(sum.data()), size};
}

std::string hex(const std::string& raw) {
  std::string out;
  for (const char c : raw) out += fmt::format("{:02x}", static_cast<unsigned char>(c));
  return out;
}

std::string number(std::uint32_t value) {
  std::string out;
  for (const unsigned shift : {24U, 16U, 8U, 0U}) out += static_cast<char>(value >> shift);
  return out;
}

// How far back: the highest first, each further byte counting from where the one before ends.
std::string distance(std::size_t back) {
  std::string out(1, static_cast<char>(back & 0x7fU));
  for (back >>= 7U; back != 0; back >>= 7U) {
    --back;
    out.insert(out.begin(), static_cast<char>(0x80U | (back & 0x7fU)));
  }
  return out;
}

std::string with_header(const std::string& type, const std::string& bytes, std::size_t zeros) {
  return type + ' ' + std::to_string(bytes.size() + zeros) + '\0' + bytes;
}

}  // namespace

std::string raw_of_id(const std::string& id) {
  std::string out;
  for (std::size_t i = 0; i + 1 < id.size(); i += 2)
    out += static_cast<char>(std::stoi(id.substr(i, 2), nullptr, 16));
  return out;
}

std::string deflated(const std::string& bytes, std::size_t zeros) {
  z_stream stream{};
  if (deflateInit(&stream, 1) != Z_OK) throw std::runtime_error("deflate");
  std::string out;
  std::array<char, 1U << 16U> room{};
  const auto put = [&](const std::string& piece, int flush) {
    stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(piece.data()));
    stream.avail_in = static_cast<uInt>(piece.size());
    do {
      stream.next_out = reinterpret_cast<Bytef*>(room.data());
      stream.avail_out = static_cast<uInt>(room.size());
      deflate(&stream, flush);
      out.append(room.data(), room.size() - stream.avail_out);
    } while (stream.avail_out == 0);
  };
  pieces(bytes, zeros, [&](const std::string& piece) { put(piece, Z_NO_FLUSH); });
  put("", Z_FINISH);
  deflateEnd(&stream);
  return out;
}

std::string id_of(const std::string& type, const std::string& bytes, std::size_t zeros) {
  return hex(sha1(with_header(type, bytes, zeros), zeros));
}

std::string delta_size(std::uint64_t size) {
  std::string out;
  for (; size >= 0x80; size >>= 7U) out += static_cast<char>((size & 0x7fU) | 0x80U);
  return out + static_cast<char>(size);
}

std::string loose_object(const fs::path& git_folder, const std::string& type, const std::string& bytes,
                         std::size_t zeros) {
  const std::string id = id_of(type, bytes, zeros);
  const fs::path folder = git_folder / "objects" / id.substr(0, 2);
  fs::create_directories(folder);
  write_file(folder / id.substr(2), deflated(with_header(type, bytes, zeros), zeros));
  return id;
}

std::string PackMaker::head(unsigned type, std::uint64_t size) {
  auto first = static_cast<unsigned>(type << 4U | (size & 15U));
  size >>= 4U;
  if (size == 0) return {static_cast<char>(first)};
  return static_cast<char>(first | 0x80U) + delta_size(size);
}

std::size_t PackMaker::put(const std::string& id, const std::string& entry) {
  const std::size_t at = bytes_.size();
  const auto crc = crc32(0, reinterpret_cast<const Bytef*>(entry.data()), static_cast<uInt>(entry.size()));
  entries_.push_back({id, at, static_cast<std::uint32_t>(crc)});
  bytes_ += entry;
  ++count_;
  return at;
}

std::size_t PackMaker::delta_by_id(const std::string& id, const std::string& base, const std::string& delta) {
  return put(id, head(7, delta.size()) + raw_of_id(base) + deflated(delta));
}

std::size_t PackMaker::delta_by_distance(const std::string& id, std::size_t base, const std::string& delta) {
  return put(id, head(6, delta.size()) + distance(bytes_.size() - base) + deflated(delta));
}

std::string PackMaker::whole(const std::string& type, const std::string& bytes) {
  static const std::map<std::string, unsigned> types = {{"commit", 1}, {"tree", 2}, {"blob", 3}, {"tag", 4}};
  const std::string id = id_of(type, bytes);
  put(id, head(types.at(type), bytes.size()) + deflated(bytes));
  return id;
}

void PackMaker::unlist(const std::string& id) {
  std::erase_if(entries_, [&](const Entry& entry) { return entry.id == id; });
}

void PackMaker::write(const fs::path& folder) {
  bytes_.replace(8, 4, number(count_));
  const std::string sum = sha1(bytes_);
  const fs::path stem = folder / ("pack-" + hex(sum));
  fs::create_directories(folder);
  write_file(stem.string() + ".pack", bytes_ + sum);
  std::stable_sort(entries_.begin(), entries_.end(),
                   [](const Entry& a, const Entry& b) { return a.id < b.id; });
  std::string index = "\377tOc" + number(2);
  std::array<std::uint32_t, 256> counts{};
  for (const Entry& entry : entries_)
    ++counts[static_cast<unsigned char>(raw_of_id(entry.id.substr(0, 2)).front())];
  std::uint32_t up_to = 0;
  for (const std::uint32_t count : counts) index += number(up_to += count);
  for (const Entry& entry : entries_) index += raw_of_id(entry.id);
  for (const Entry& entry : entries_) index += number(entry.crc);
  for (const Entry& entry : entries_) index += number(static_cast<std::uint32_t>(entry.at));
  index += sum;
  write_file(stem.string() + ".idx", index + sha1(index));
}

}  // namespace scenario
