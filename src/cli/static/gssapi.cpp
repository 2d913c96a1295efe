// Kerberos is left out: it is a third of all that the program had to load at every start.
//
// libgit2 uses it for the HTTP scheme Negotiate alone, with a credential that keepway never offers
// (src/store/sync_credentials.cpp). Whoever calls is told that there is no such service: GSS_S_UNAVAILABLE,
// 16 in the octet of routine errors (RFC 2744, 3.9.1), with the minor status, each call's first argument, set
// (5.x).
#include <cstdint>

namespace {

std::uint32_t unavailable(std::uint32_t* minor_status) {
  constexpr std::uint32_t routine_error_offset = 16;
  *minor_status = 0;
  return std::uint32_t{16} << routine_error_offset;
}

}  // namespace

extern "C" {
extern const void* const GSS_C_NT_HOSTBASED_SERVICE;
const void* const GSS_C_NT_HOSTBASED_SERVICE = nullptr;  // a name's type, for gss_import_name() alone
std::uint32_t gss_indicate_mechs(std::uint32_t* minor, void*) {
  return unavailable(minor);
}
std::uint32_t gss_import_name(std::uint32_t* minor, void*, void*, void*) {
  return unavailable(minor);
}
std::uint32_t gss_init_sec_context(std::uint32_t* minor, ...) {
  return unavailable(minor);
}
std::uint32_t gss_display_status(std::uint32_t* minor, ...) {
  return unavailable(minor);
}
std::uint32_t gss_delete_sec_context(std::uint32_t* minor, void*, void*) {
  return unavailable(minor);
}
std::uint32_t gss_release_buffer(std::uint32_t* minor, void*) {
  return unavailable(minor);
}
std::uint32_t gss_release_name(std::uint32_t* minor, void*) {
  return unavailable(minor);
}
std::uint32_t gss_release_oid_set(std::uint32_t* minor, void*) {
  return unavailable(minor);
}
}
