// Certificates are read when a connection first wants them, not at every start.
//
// Motivation: libgit2, started, parses every certificate of the computer: 55 million of the 220 million
// instructions of a day's intake, which connects to nothing. It has no option against that. Linked in, its
// calls can be caught (ld's --wrap): the reading is put off, and made good before the first TLS session is
// set up.
#include <git2.h>

#include <string>
#include <utility>

// NOLINTBEGIN(bugprone-reserved-identifier): the linker's names
extern "C" int __real_mbedtls_x509_crt_parse_file(void* chain, const char* path);
extern "C" int __real_mbedtls_ssl_setup(void* session, const void* configuration);

namespace {

struct PutOff {
  bool started = false;
  std::string path;
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

extern "C" int __wrap_mbedtls_ssl_setup(void* session, const void* configuration) {
  const std::string path = std::exchange(put_off().path, {});
  if (!path.empty()) git_libgit2_opts(GIT_OPT_SET_SSL_CERT_LOCATIONS, path.c_str(), nullptr);
  return __real_mbedtls_ssl_setup(session, configuration);
}
// NOLINTEND(bugprone-reserved-identifier)
