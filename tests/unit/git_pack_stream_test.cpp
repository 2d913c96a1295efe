// Packs that come in with what no Git sends, in pieces of any size. Form: Git's gitformat-pack(5).
#include <gmock/gmock.h>
#include <zlib.h>

#include "git/pack_stream.hpp"

namespace keepway::store {
namespace {

using testing::HasSubstr;

constexpr std::uint64_t most = 1000;

std::string deflated(const std::string& bytes) {
  uLongf size = compressBound(static_cast<uLong>(bytes.size()));
  std::string out(size, '\0');
  compress(reinterpret_cast<Bytef*>(out.data()), &size, reinterpret_cast<const Bytef*>(bytes.data()),
           static_cast<uLong>(bytes.size()));
  out.resize(size);
  return out;
}

std::string size_text(std::uint64_t size) {
  std::string out;
  for (; size >= 0x80; size >>= 7U) out += static_cast<char>((size & 0x7fU) | 0x80U);
  return out + static_cast<char>(size);
}

std::string entry(unsigned type, std::uint64_t size, const std::string& base, const std::string& bytes) {
  const auto first = static_cast<char>(type << 4U | (size & 15U) | (size < 16 ? 0U : 0x80U));
  return first + (size < 16 ? "" : size_text(size >> 4U)) + base + deflated(bytes);
}

std::string blob(const std::string& bytes) {
  return entry(3, bytes.size(), "", bytes);
}

// What is said of a pack that comes in pieces of so many bytes; empty for nothing.
std::string said_of(const std::vector<std::string>& entries, std::size_t piece) {
  std::string bytes("PACK\0\0\0\2", 8);
  for (const unsigned shift : {24U, 16U, 8U, 0U}) bytes += static_cast<char>(entries.size() >> shift);
  for (const std::string& each : entries) bytes += each;
  bytes += std::string(20, 's');
  PackStream stream(most);
  for (std::size_t at = 0; at < bytes.size(); at += piece) {
    if (const char* fault = stream.put(std::string_view(bytes).substr(at, piece))) return fault;
  }
  return "";
}

class PackStreamTest : public testing::TestWithParam<std::size_t> {};

TEST_P(PackStreamTest, LetsASoundPackPass) {
  const std::string base = blob("hello");
  const std::string delta = size_text(5) + size_text(most) + "\x05hello";
  EXPECT_EQ(said_of({}, GetParam()), "");
  EXPECT_EQ(said_of({base, blob(std::string(most, 'x')), entry(7, delta.size(), std::string(20, 'i'), delta)},
                    GetParam()),
            "");
  EXPECT_EQ(said_of({base, entry(6, delta.size(), {static_cast<char>(base.size())}, delta)}, GetParam()), "");
}

TEST_P(PackStreamTest, RefusesWhatIsTooLarge) {
  EXPECT_THAT(said_of({blob("hello"), blob(std::string(most + 1, 'x'))}, GetParam()), HasSubstr("larger"));
  EXPECT_THAT(said_of({entry(3, 1ULL << 42U, "", "hello")}, GetParam()), HasSubstr("larger"));
  EXPECT_THAT(said_of({entry(3, 4, "", "hello")}, GetParam()), HasSubstr("longer than it says"));
  const std::string delta = size_text(5) + size_text(most + 1) + "\x05hello";
  EXPECT_THAT(said_of({entry(7, delta.size(), std::string(20, 'i'), delta)}, GetParam()),
              HasSubstr("larger"));
}

TEST_P(PackStreamTest, RefusesAChainWithoutEnd) {
  const auto chain = [](std::size_t deltas) {
    std::vector<std::string> entries{blob("hello")};
    const std::string delta = size_text(5) + size_text(5) + "\x05hello";
    while (entries.size() <= deltas)
      entries.push_back(entry(6, delta.size(), {static_cast<char>(entries.back().size())}, delta));
    return entries;
  };
  EXPECT_EQ(said_of(chain(4095), GetParam()), "");
  EXPECT_THAT(said_of(chain(4096), GetParam()), HasSubstr("4095"));
}

INSTANTIATE_TEST_SUITE_P(Pieces, PackStreamTest, testing::Values(1, 7, 4096, 1U << 20U));

}  // namespace
}  // namespace keepway::store
