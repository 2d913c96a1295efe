#include "sync/sync_remote.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "base/password.hpp"
#include "git/settings.hpp"

namespace keepway::store {
namespace {

constexpr std::size_t max_said = 8U << 10;

bool says(std::string_view message, std::string_view part) {
  return message.find(part) != std::string_view::npos;
}

// What to do about a failure, by libgit2's class and words for it.
std::string remedy_for(int code, int klass, std::string_view message) {
  if (code == GIT_EAUTH || says(message, "401") || says(message, "uthentication") || says(message, "403")) {
    return "check that your key or password is right and may write there: ssh-agent or $KEEPWAY_SSH_KEY; "
           "$KEEPWAY_GIT_USER and $KEEPWAY_GIT_PASSWORD, or Git's credential helpers";
  }
  if (says(message, "404") || says(message, "not found") || says(message, "does not exist") ||
      says(message, "does not appear") || says(message, "unsupported URL") ||
      says(message, "could not find repository")) {
    return "check the URL; make the repository on the server first: git init --bare NAME.git";
  }
  if (says(message, "initialize SSH session"))
    return "make sure that libssh2 is installed (on Debian: libssh2-1)";
  if (klass == GIT_ERROR_SSL) return "check the server's clock and certificate";
  if (klass == GIT_ERROR_NET || klass == GIT_ERROR_OS || klass == GIT_ERROR_SSH || klass == GIT_ERROR_HTTP) {
    return "check the network, the server and the URL, then sync again: nothing is lost";
  }
  return "sync again; if it fails again, run `git fsck` in the machine's folder and on the remote";
}

bool looks_like_url(const std::string& text) {
  return text.find_first_of(":/") != std::string::npos;
}

// Authorities that the person named; libgit2 knows only those of the system.
void use_named_authorities(git_repository& repo) {
  std::string file;
  if (const char* named = std::getenv("GIT_SSL_CAINFO")) file = named;
  if (file.empty()) {
    const auto config = take<ConfigHandle>("read the configuration", git_repository_config_snapshot, &repo);
    git_buf path{};
    if (git_config_get_path(&path, config.get(), "http.sslCAInfo") == 0) file = path.ptr;
    git_buf_dispose(&path);
  }
  if (file.empty()) return;
  if (git_libgit2_opts(GIT_OPT_SET_SSL_CERT_LOCATIONS, file.c_str(), nullptr) != 0) {
    throw Error(ErrorKind::store, fmt::format("the certificates in {} cannot be used", printable(file)),
                "make sure that $GIT_SSL_CAINFO or Git's http.sslCAInfo names a file of certificates (PEM)");
  }
}

// Refspecs "what:ref" as refs to be pushed.
std::vector<RefPush> pushes_of(git_repository& from, const std::vector<std::string>& refspecs) {
  std::vector<RefPush> out;
  for (const std::string& each : refspecs) {
    const std::size_t colon = each.find(':');
    out.push_back({each.substr(colon + 1), std::nullopt});
    if (colon == 0) continue;
    git_oid id{};
    check(git_reference_name_to_id(&id, &from, each.substr(0, colon).c_str()), "read what is to be sent");
    out.back().to = id;
  }
  return out;
}

class Strings {
 public:
  explicit Strings(std::vector<std::string> texts) : texts_(std::move(texts)) {
    for (std::string& text : texts_) pointers_.push_back(text.data());
    array_ = {pointers_.data(), pointers_.size()};
  }
  [[nodiscard]] const git_strarray* get() const { return &array_; }

 private:
  std::vector<std::string> texts_;
  std::vector<char*> pointers_;
  git_strarray array_{};
};

}  // namespace

Remote::Remote(git_repository& repo, const std::string& name_or_url, const SyncOptions& options)
    : options_(options), credentials_(repo), repo_(repo) {
  git_remote* raw = nullptr;
  if (git_remote_lookup(&raw, &repo, name_or_url.c_str()) == 0) {
    name_ = name_or_url;
  } else if (!looks_like_url(name_or_url)) {
    throw Error(ErrorKind::usage, fmt::format("this machine has no remote '{}'", printable(name_or_url)),
                "name one once: keepway sync MACHINE --to URL");
  } else {
    check(git_remote_create_anonymous(&raw, &repo, name_or_url.c_str()), "use the URL of the remote");
  }
  remote_.reset(raw);
  const char* url = git_remote_url(raw);
  shown_url_ = printable(without_passwords(url));
  use_named_authorities(repo);
  if (auto folder = FolderRemote::named_by(url)) {
    folder_.emplace(std::move(*folder), shown_url_);
    lock_.emplace(folder_->git_folder());
  }
}

Remote::~Remote() {
  git_remote_disconnect(remote_.get());
}

void Remote::name_main() const {
  if (folder_) name_main_in_head(folder_->git_folder());
}

git_remote_callbacks Remote::callbacks() {
  git_remote_callbacks out{};
  check(git_remote_init_callbacks(&out, GIT_REMOTE_CALLBACKS_VERSION), "speak to the remote");
  out.payload = this;
  out.credentials = [](git_credential** credential, const char* url, const char* user, unsigned allowed,
                       void* self) {
    return Credentials::acquire(credential, url, user, allowed, &static_cast<Remote*>(self)->credentials_);
  };
  out.certificate_check = on_certificate;
  out.sideband_progress = on_said;
  out.transfer_progress = on_received;
  out.push_transfer_progress = on_sent;
  out.push_update_reference = on_ref;
  return out;
}

int Remote::on_certificate(git_cert* certificate, int valid, const char* host, void* self) {
  if (valid != 0) return 0;
  const std::string name = printable(host == nullptr ? "the server" : host);
  const bool key = certificate != nullptr && certificate->cert_type == GIT_CERT_HOSTKEY_LIBSSH2;
  static_cast<Remote*>(self)->failure_ =
      key ? Error(ErrorKind::store,
                  fmt::format(
                      "the key that {} shows is not in ~/.ssh/known_hosts, or differs from the one there",
                      name),
                  "ask whoever keeps the server for its key's fingerprint, then connect once with ssh and "
                  "compare; if the key changed without notice, do not connect")
          : Error(ErrorKind::store, fmt::format("the certificate that {} shows is not trusted", name),
                  "check that the URL names the right host; for an authority of your own, name its file in "
                  "$GIT_SSL_CAINFO or Git's http.sslCAInfo");
  return GIT_ECERTIFICATE;
}

int Remote::on_said(const char* text, int length, void* self) {
  std::string& said = static_cast<Remote*>(self)->said_;
  const auto room = max_said - std::min(said.size(), max_said);
  if (length > 0) said.append(text, std::min(static_cast<std::size_t>(length), room));
  return 0;
}

int Remote::on_received(const git_indexer_progress* progress, void* self) {
  const auto& tell = static_cast<Remote*>(self)->options_.progress;
  if (tell)
    tell({"receiving", progress->received_objects, progress->total_objects, progress->received_bytes});
  return 0;
}

int Remote::on_sent(unsigned done, unsigned total, std::size_t bytes, void* self) {
  const auto& tell = static_cast<Remote*>(self)->options_.progress;
  if (tell) tell({"sending", done, total, bytes});
  return 0;
}

int Remote::on_ref(const char* ref, const char* status, void* self) {
  if (status != nullptr) {
    static_cast<Remote*>(self)->rejections_.push_back({printable(ref), printable(status)});
  }
  return 0;
}

void Remote::check_remote(int code, std::string_view doing) {
  if (code >= 0) return;
  if (failure_) throw Error(*failure_);
  if (credentials_.failure()) throw Error(*credentials_.failure());
  const git_error* last = git_error_last();
  const std::string message = printable(
      without_passwords(last != nullptr && last->message != nullptr ? last->message : "no reason given"));
  throw Error(ErrorKind::store, fmt::format("cannot {} {}: {}", doing, shown_url_, message),
              remedy_for(code, last == nullptr ? 0 : last->klass, message));
}

void Remote::connect() {
  credentials_.start();
  git_remote_connect_options options{};
  check(git_remote_connect_options_init(&options, GIT_REMOTE_CONNECT_OPTIONS_VERSION), "speak to the remote");
  options.callbacks = callbacks();
  options.follow_redirects = GIT_REMOTE_REDIRECT_NONE;  // a password goes to its own server alone
  check_remote(git_remote_connect_ext(remote_.get(), GIT_DIRECTION_FETCH, &options), "reach");
}

std::map<std::string, git_oid> Remote::refs() {
  if (folder_) return folder_->refs();
  connect();
  const git_remote_head** heads = nullptr;
  std::size_t count = 0;
  check_remote(git_remote_ls(&heads, &count, remote_.get()), "list the refs of");
  std::map<std::string, git_oid> out;
  for (std::size_t i = 0; i < count; ++i) {
    const std::string name = heads[i]->name;
    if (!name.ends_with("^{}")) out[name] = heads[i]->oid;
  }
  return out;
}

void Remote::fetch(const std::vector<std::string>& refs, const std::filesystem::path& packs) {
  if (folder_) return folder_->fetch(repo_, refs, packs);
  git_fetch_options options{};
  check(git_fetch_options_init(&options, GIT_FETCH_OPTIONS_VERSION), "speak to the remote");
  options.callbacks = callbacks();
  options.follow_redirects = GIT_REMOTE_REDIRECT_NONE;
  options.download_tags = GIT_REMOTE_DOWNLOAD_TAGS_NONE;
  const Strings specs(refs);
  check_remote(git_remote_download(remote_.get(), specs.get(), &options), "fetch from");
}

std::vector<Rejection> Remote::push(git_repository& from, const std::vector<std::string>& refspecs) {
  if (folder_) return folder_->push(from, pushes_of(from, refspecs));
  git_remote_disconnect(remote_.get());
  credentials_.start();
  rejections_.clear();
  said_.clear();
  git_push_options options{};
  check(git_push_options_init(&options, GIT_PUSH_OPTIONS_VERSION), "speak to the remote");
  options.callbacks = callbacks();
  options.follow_redirects = GIT_REMOTE_REDIRECT_NONE;
  options.pb_parallelism = 0;
  const Strings specs(refspecs);
  // Through a remote without a name: after a push through a named one libgit2 moves the refs of its branches
  // here, while nobody holds our lock. Those are moved under it, see Sync::remember.
  const char* url = git_remote_pushurl(remote_.get());
  if (url == nullptr) url = git_remote_url(remote_.get());
  git_remote* raw = nullptr;
  check(git_remote_create_anonymous(&raw, &from, url), "use the URL of the remote");
  const RemoteHandle nameless(raw);
  const int code = git_remote_push(nameless.get(), specs.get(), &options);
  if (code == GIT_ENONFASTFORWARD) return {{"refs/heads/main", "it moved meanwhile"}};
  if (code < 0 && !rejections_.empty()) return rejections_;
  check_remote(code, "push to");
  return rejections_;
}

}  // namespace keepway::store
