#include "store/known_blobs.hpp"

#include <fcntl.h>
#include <libdeflate.h>
#include <openssl/evp.h>

#include <cstring>
#include <memory>
#include <new>

#include "store/disk.hpp"
#include "store/git.hpp"
#include "store/objects.hpp"

namespace keepway::store {
namespace {

constexpr std::string_view magic = "kwblobs1";
constexpr const char* file_name = "blobs";
constexpr std::size_t sum_size = 4;

std::string sum_of(std::string_view rows) {
  const std::uint32_t sum = libdeflate_crc32(0, rows.data(), rows.size());
  return {reinterpret_cast<const char*>(&sum), sizeof sum};
}

// One a thread, since making one looks through OpenSSL's providers.
class Sha256 {
 public:
  Sha256() : method_(EVP_MD_fetch(nullptr, "SHA256", nullptr)), context_(EVP_MD_CTX_new()) {
    if (!method_ || !context_) throw std::bad_alloc();
  }
  void digest(std::string_view bytes, unsigned char* out) {
    if (EVP_DigestInit_ex(context_.get(), method_.get(), nullptr) != 1 ||
        EVP_DigestUpdate(context_.get(), bytes.data(), bytes.size()) != 1 ||
        EVP_DigestFinal_ex(context_.get(), out, nullptr) != 1) {
      throw std::bad_alloc();
    }
  }

 private:
  std::unique_ptr<EVP_MD, Freed<EVP_MD_free>> method_;
  std::unique_ptr<EVP_MD_CTX, Freed<EVP_MD_CTX_free>> context_;
};

}  // namespace

std::optional<std::string> KnownBlobs::read(const std::filesystem::path& git_folder) {
  std::error_code absent;
  if (!std::filesystem::exists(git_folder / "keepway", absent)) return std::nullopt;
  return Folder(git_folder / "keepway").read(file_name);
}

std::optional<KnownBlobs::Known> KnownBlobs::parse(std::string_view bytes) {
  constexpr std::size_t row = sizeof(Digest) + GIT_OID_RAWSZ;
  if (bytes.size() < magic.size() + sum_size || !bytes.starts_with(magic)) return std::nullopt;
  const std::string_view rows = bytes.substr(magic.size(), bytes.size() - magic.size() - sum_size);
  if (rows.size() % row != 0 || sum_of(rows) != bytes.substr(bytes.size() - sum_size)) return std::nullopt;
  Known known;
  for (std::size_t at = 0; at < rows.size(); at += row) {
    Digest digest{};
    git_oid id{};
    std::memcpy(digest.data(), rows.data() + at, digest.size());
    std::memcpy(id.id, rows.data() + at + digest.size(), sizeof id.id);
    known.emplace_hint(known.end(), digest, id);
  }
  return known;
}

KnownBlobs::Known KnownBlobs::load(const std::filesystem::path& git_folder) {
  const auto bytes = read(git_folder);
  return bytes ? parse(*bytes).value_or(Known()) : Known();
}

bool KnownBlobs::sound(const std::filesystem::path& git_folder, const Content& content) {
  const auto bytes = read(git_folder);
  if (!bytes) return true;
  const auto known = parse(*bytes);
  if (!known) return false;
  Sha256 sha256;
  for (const auto& [digest, id] : *known) {
    const auto held = content(id);
    if (!held) continue;
    Digest found{};
    sha256.digest(*held, found.data());
    if (found != digest) return false;
  }
  return true;
}

void KnownBlobs::forget(const std::filesystem::path& git_folder) noexcept {
  std::error_code stays;
  std::filesystem::remove(git_folder / "keepway" / file_name, stays);
}

std::vector<git_oid> KnownBlobs::ids(const std::filesystem::path& git_folder,
                                     const std::vector<std::string_view>& contents) {
  if (!loaded_) known_ = load(git_folder);
  loaded_ = true;
  std::vector<Digest> digests(contents.size());
  std::vector<git_oid> out(contents.size());
  in_parallel(contents.size(), [&](std::size_t i) {
    thread_local Sha256 sha256;
    sha256.digest(contents[i], digests[i].data());
    const auto found = known_.find(digests[i]);
    if (found != known_.end()) {
      out[i] = found->second;
    } else {
      check(git_odb_hash(&out[i], contents[i].data(), contents[i].size(), GIT_OBJECT_BLOB), "hash a file");
    }
  });
  last_.clear();
  for (std::size_t i = 0; i < contents.size(); ++i) {
    new_ones_ = known_.emplace(digests[i], out[i]).second || new_ones_;
    last_.emplace(digests[i], out[i]);
  }
  return out;
}

void KnownBlobs::save(const std::filesystem::path& git_folder) noexcept {
  if (!new_ones_) return;
  try {
    std::string rows;
    for (const auto& [digest, id] : last_) {
      rows.append(reinterpret_cast<const char*>(digest.data()), digest.size());
      rows.append(reinterpret_cast<const char*>(id.id), sizeof id.id);
    }
    const std::filesystem::path path = git_folder / "keepway" / file_name;
    std::filesystem::create_directories(path.parent_path());
    // Written over in place and not synced: one that is not whole is told by its sum.
    const Fd file(::open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0644));
    if (file) write_all(file.get(), std::string(magic) + rows + sum_of(rows), path.string());
    known_ = last_;
    new_ones_ = false;
  } catch (...) {  // NOLINT(bugprone-empty-catch): the next add() hashes all, then
  }
}

}  // namespace keepway::store
