#include "git/sha1.hpp"

#include <array>
#include <new>

namespace keepway::store {
namespace {

// The only failure that a digest in memory has.
void require(int done) {
  if (done != 1) throw std::bad_alloc();
}

}  // namespace

Sha1::Sha1() : context_(EVP_MD_CTX_new()) {
  require(context_ != nullptr && EVP_DigestInit_ex(context_.get(), EVP_sha1(), nullptr) == 1 ? 1 : 0);
}

void Sha1::put(std::string_view bytes) {
  require(EVP_DigestUpdate(context_.get(), bytes.data(), bytes.size()));
}

std::string Sha1::finish() {
  std::array<unsigned char, size> digest{};
  require(EVP_DigestFinal_ex(context_.get(), digest.data(), nullptr));
  return {reinterpret_cast<const char*>(digest.data()), digest.size()};
}

}  // namespace keepway::store
