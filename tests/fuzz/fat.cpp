// Any bytes as a medium: every volume found is surveyed and read, deleted files too.
#include <cstdint>
#include <cstdlib>

#include "media/set.hpp"
#include "media/slots.hpp"

using namespace keepway::media;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const MemoryDisk disk({reinterpret_cast<const char*>(data), size});
  std::vector<Volume> volumes;
  try {
    volumes = find_volumes(disk);
  } catch (const keepway::Error& error) {  // over its bounds
    if (error.kind() != keepway::ErrorKind::input) std::abort();
  }
  for (const Slot& slot : describe(volumes)) {
    if (slot.number == 0 || slot.free_bytes > slot.size) std::abort();
  }
  for (const Volume& volume : volumes) {
    const Set set = read_volume(disk, volume, true);
    check_names(set);  // throws when a name could leave its folder, or is there twice
  }
  return 0;
}
