// What only a connection needs is made ready when one first wants it, not at every start.
//
// Motivation: libgit2, started, parses every certificate of the computer and gathers randomness, which takes
// longer than many a command that connects to nothing. It has no option against that. Linked in, its calls
// can be caught (ld's --wrap): they are put off, and made good before the first TLS session is set up. What
// it calls for ssh is loaded late (late.cpp).
#include <git2.h>

#include <cstddef>
#include <string>
#include <utility>

// NOLINTBEGIN(bugprone-reserved-identifier): the linker's names
extern "C" int __real_mbedtls_x509_crt_parse_file(void* chain, const char* path);
extern "C" int __real_mbedtls_ssl_setup(void* session, const void* configuration);
using Entropy = int(void* source, unsigned char* out, std::size_t size);
extern "C" void __real_mbedtls_entropy_init(void* source);
extern "C" int __real_mbedtls_ctr_drbg_seed(void* generator, Entropy* entropy, void* source,
                                            const unsigned char* custom, std::size_t size);

namespace {

struct PutOff {
  bool started = false;
  std::string path;
  void* source = nullptr;
  void* generator = nullptr;
  Entropy* entropy = nullptr;
};
PutOff& put_off() {
  static PutOff state;
  return state;
}

}  // namespace

extern "C" int __wrap_mbedtls_x509_crt_parse_file(void* chain, const char* path) {
  if (put_off().started) {
    // Authorities that somebody named take the place of the computer's, so those are wanted no more.
    const int code = __real_mbedtls_x509_crt_parse_file(chain, path);
    if (code >= 0) put_off().path.clear();
    return code;
  }
  put_off().path = path;
  put_off().started = true;
  return 0;
}

extern "C" void __wrap_mbedtls_entropy_init(void* source) {
  if (put_off().source != nullptr) return __real_mbedtls_entropy_init(source);
  put_off().source = source;
}

extern "C" int __wrap_mbedtls_ctr_drbg_seed(void* generator, Entropy* entropy, void* source,
                                            const unsigned char* custom, std::size_t size) {
  PutOff& state = put_off();
  if (source != state.source || state.generator != nullptr || size != 0)
    return __real_mbedtls_ctr_drbg_seed(generator, entropy, source, custom, size);
  state.generator = generator;
  state.entropy = entropy;
  return 0;
}

extern "C" int __wrap_mbedtls_ssl_setup(void* session, const void* configuration) {
  PutOff& state = put_off();
  if (state.entropy != nullptr) {
    __real_mbedtls_entropy_init(state.source);
    const int code = __real_mbedtls_ctr_drbg_seed(state.generator, state.entropy, state.source, nullptr, 0);
    if (code != 0) return code;
    state.entropy = nullptr;
  }
  const std::string path = std::exchange(put_off().path, {});
  if (!path.empty()) git_libgit2_opts(GIT_OPT_SET_SSL_CERT_LOCATIONS, path.c_str(), nullptr);
  return __real_mbedtls_ssl_setup(session, configuration);
}
// NOLINTEND(bugprone-reserved-identifier)
