// Loose objects that are not what they should be. Sources: gitformat-loose(5).
#include <gtest/gtest.h>
#include <zlib.h>

#include <algorithm>
#include <string>

#include "audit/verify.hpp"
#include "git/sha1.hpp"

namespace keepway::store {
namespace {

std::string fault_of(const std::string& object) {
  std::string file(compressBound(object.size()), '\0');
  uLongf size = file.size();
  EXPECT_EQ(compress2(reinterpret_cast<Bytef*>(file.data()), &size,
                      reinterpret_cast<const Bytef*>(object.data()), object.size(), 1),
            Z_OK);
  file.resize(size);
  Sha1 sum;
  sum.put(object);
  git_oid id{};
  const std::string name = sum.finish();
  std::copy(name.begin(), name.end(), id.id);
  bool odd = false;
  const char* fault = loose_fault(file, id, odd);
  return fault == nullptr ? "" : fault;
}

TEST(LooseFault, AnObjectSaysWhatItIsAndHowLong) {
  using std::string_literals::operator""s;
  EXPECT_EQ(fault_of("blob 5\0hello"s), "");
  EXPECT_EQ(fault_of("blob 0\0"s), "");
  for (const std::string& odd : {"blob 4\0hello"s, "blob 5hello"s, "blob 0X"s, "blob 0"s, "lump 0\0"s,
                                 "blob0\0"s, "blob 0 \0"s, "\0"s, ""s}) {
    EXPECT_EQ(fault_of(odd), "its file does not say what it is") << odd;
  }
}

}  // namespace
}  // namespace keepway::store
