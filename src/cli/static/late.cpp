// Two libraries that few commands call are loaded by the first call: libssh2 when a remote is reached by ssh,
// libqrencode when a sheet is made.
//
// Motivation: what the program is linked with it pays for at every start. libssh2 brings all of libcrypto,
// which is most of the addresses that are put right at a start: linked in, the two are a fifth of the time
// that `keepway --version` takes. Loaded, they are also the system's own, with its repairs.
//
// The functions are those that libgit2 and keepway call; a header that declares one otherwise does not
// compile. Where a library is not there, the first call of its use tells so: NULL, which libgit2 takes for a
// session that could not be begun and qr_svg() for a code that could not be made. No other can come before
// it.
#include <dlfcn.h>
#include <libssh2.h>
#include <qrencode.h>

#include <cstdlib>

namespace {

// By soname; never unloaded.
void* library(const char* name) {
  return ::dlopen(name, RTLD_NOW | RTLD_LOCAL);
}
void* ssh() {
  static void* const loaded = library("libssh2.so.1");
  return loaded;
}
void* qr() {
  static void* const loaded = library("libqrencode.so.4");
  return loaded;
}

template <typename Function>
Function* found(void* library, const char* name) {
  void* const function = library == nullptr ? nullptr : ::dlsym(library, name);
  if (function == nullptr) std::abort();  // its library was there when its use began
  return reinterpret_cast<Function*>(function);
}

}  // namespace

// NOLINTBEGIN(cppcoreguidelines-macro-usage,bugprone-macro-parentheses): a function's name twice, as itself
// and as text, and its parameters
#define LATE(library, result, name, parameters, arguments)    \
  result name parameters {                                    \
    return found<decltype(name)>(library(), #name) arguments; \
  }
#define LATE_SSH(result, name, parameters, arguments) LATE(ssh, result, name, parameters, arguments)

extern "C" {
QRcode* QRcode_encodeData(int size, const unsigned char* bytes, int version, QRecLevel level) {
  if (qr() == nullptr) return nullptr;
  return found<decltype(QRcode_encodeData)>(qr(), "QRcode_encodeData")(size, bytes, version, level);
}
LATE(qr, void, QRcode_free, (QRcode * code), (code))

LIBSSH2_SESSION* libssh2_session_init_ex(LIBSSH2_ALLOC_FUNC((*allocate)), LIBSSH2_FREE_FUNC((*free_it)),
                                         LIBSSH2_REALLOC_FUNC((*reallocate)), void* abstract) {
  if (ssh() == nullptr) return nullptr;
  return found<decltype(libssh2_session_init_ex)>(ssh(), "libssh2_session_init_ex")(allocate, free_it,
                                                                                    reallocate, abstract);
}
// It starts itself with its first session, and ends with the program.
int libssh2_init(int /*flags*/) {
  return 0;
}
void libssh2_exit() {}

using Session = LIBSSH2_SESSION*;
using Channel = LIBSSH2_CHANNEL*;
using Agent = LIBSSH2_AGENT*;
using KnownHosts = LIBSSH2_KNOWNHOSTS*;
using Text = const char*;
using Length = unsigned int;

LATE_SSH(void**, libssh2_session_abstract, (Session s), (s))
LATE_SSH(int, libssh2_session_handshake, (Session s, libssh2_socket_t socket), (s, socket))
LATE_SSH(int, libssh2_session_disconnect_ex, (Session s, int reason, Text why, Text language),
         (s, reason, why, language))
LATE_SSH(int, libssh2_session_free, (Session s), (s))
LATE_SSH(Text, libssh2_session_hostkey, (Session s, size_t* size, int* type), (s, size, type))
LATE_SSH(Text, libssh2_hostkey_hash, (Session s, int type), (s, type))
LATE_SSH(int, libssh2_session_method_pref, (Session s, int type, Text wanted), (s, type, wanted))
LATE_SSH(int, libssh2_session_last_error, (Session s, char** text, int* size, int copy),
         (s, text, size, copy))
LATE_SSH(void, libssh2_session_set_blocking, (Session s, int blocking), (s, blocking))

LATE_SSH(char*, libssh2_userauth_list, (Session s, Text user, Length size), (s, user, size))
LATE_SSH(int, libssh2_userauth_authenticated, (Session s), (s))
LATE_SSH(int, libssh2_userauth_password_ex,
         (Session s, Text user, Length user_size, Text password, Length size,
          LIBSSH2_PASSWD_CHANGEREQ_FUNC((*change))),
         (s, user, user_size, password, size, change))
LATE_SSH(int, libssh2_userauth_keyboard_interactive_ex,
         (Session s, Text user, Length size, LIBSSH2_USERAUTH_KBDINT_RESPONSE_FUNC((*answer))),
         (s, user, size, answer))
LATE_SSH(int, libssh2_userauth_publickey,
         (Session s, Text user, const unsigned char* key, size_t size,
          LIBSSH2_USERAUTH_PUBLICKEY_SIGN_FUNC((*sign)), void** abstract),
         (s, user, key, size, sign, abstract))
LATE_SSH(int, libssh2_userauth_publickey_fromfile_ex,
         (Session s, Text user, Length size, Text key, Text secret, Text phrase),
         (s, user, size, key, secret, phrase))
LATE_SSH(int, libssh2_userauth_publickey_frommemory,
         (Session s, Text user, size_t size, Text key, size_t key_size, Text secret, size_t secret_size,
          Text phrase),
         (s, user, size, key, key_size, secret, secret_size, phrase))

LATE_SSH(Agent, libssh2_agent_init, (Session s), (s))
LATE_SSH(int, libssh2_agent_connect, (Agent a), (a))
LATE_SSH(int, libssh2_agent_list_identities, (Agent a), (a))
LATE_SSH(int, libssh2_agent_get_identity,
         (Agent a, libssh2_agent_publickey** key, libssh2_agent_publickey* before), (a, key, before))
LATE_SSH(int, libssh2_agent_userauth, (Agent a, Text user, libssh2_agent_publickey* key), (a, user, key))
LATE_SSH(int, libssh2_agent_disconnect, (Agent a), (a))
LATE_SSH(void, libssh2_agent_free, (Agent a), (a))

LATE_SSH(KnownHosts, libssh2_knownhost_init, (Session s), (s))
LATE_SSH(int, libssh2_knownhost_readfile, (KnownHosts hosts, Text file, int type), (hosts, file, type))
LATE_SSH(int, libssh2_knownhost_checkp,
         (KnownHosts hosts, Text host, int port, Text key, size_t size, int type, libssh2_knownhost** known),
         (hosts, host, port, key, size, type, known))
LATE_SSH(void, libssh2_knownhost_free, (KnownHosts hosts), (hosts))

LATE_SSH(Channel, libssh2_channel_open_ex,
         (Session s, Text type, Length size, Length window, Length packet, Text message, Length message_size),
         (s, type, size, window, packet, message, message_size))
LATE_SSH(int, libssh2_channel_process_startup,
         (Channel c, Text request, Length size, Text message, Length message_size),
         (c, request, size, message, message_size))
LATE_SSH(ssize_t, libssh2_channel_read_ex, (Channel c, int stream, char* bytes, size_t size),
         (c, stream, bytes, size))
LATE_SSH(ssize_t, libssh2_channel_write_ex, (Channel c, int stream, Text bytes, size_t size),
         (c, stream, bytes, size))
LATE_SSH(void, libssh2_channel_set_blocking, (Channel c, int blocking), (c, blocking))
LATE_SSH(int, libssh2_channel_close, (Channel c), (c))
LATE_SSH(int, libssh2_channel_free, (Channel c), (c))
}
// NOLINTEND(cppcoreguidelines-macro-usage,bugprone-macro-parentheses)
