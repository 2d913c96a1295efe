// Any bytes as an archive, of the kind that its first bytes tell.
#include "media/archive.hpp"

#include <cstdint>

#include "media/set.hpp"

using namespace keepway::media;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const ArchiveKind kind = archive_kind(bytes);
  if (kind == ArchiveKind::none) return 0;
  Set set;
  try {
    set = read_archive(bytes, kind, "fuzz");
  } catch (const keepway::Error&) {
    return 0;
  }
  check_names(set);  // throws when a name could leave its folder, or is there twice
  return 0;
}
