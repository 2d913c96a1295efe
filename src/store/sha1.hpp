// SHA-1 (FIPS 180-4): tells whether what Git wrote came back whole. Ids of new objects are not made by it but
// by Git's own, which looks out for made collisions.
#pragma once

#include <openssl/sha.h>

#include <string>
#include <string_view>

namespace keepway::store {

class Sha1 {
 public:
  static constexpr std::size_t size = 20;
  Sha1();
  void put(std::string_view bytes);
  // As 20 bytes. Nothing may be put after that.
  std::string finish();

 private:
  SHA_CTX sum_{};
};

}  // namespace keepway::store
