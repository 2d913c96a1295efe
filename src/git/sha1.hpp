// SHA-1 (FIPS 180-4): says whether what Git wrote came back whole. Ids of new objects are not made by it but
// by Git's own, which detects deliberate collisions.
#pragma once

#include <openssl/evp.h>

#include <memory>
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
  struct Free {
    void operator()(EVP_MD_CTX* context) const { EVP_MD_CTX_free(context); }
  };
  std::unique_ptr<EVP_MD_CTX, Free> context_;
};

}  // namespace keepway::store
