// Any bytes as what is remembered of a file's reading: taken or refused, and what is taken is written again
// as it reads. And as the whole of a memory.
#include "reader/memory.hpp"
#include "require.hpp"

namespace {

using keepway::fuzz::require;
constexpr keepway::Sha256 reader = {'k'};

void as_output(std::string_view bytes) {
  const auto output = keepway::reader::read_output(bytes, 3);
  if (!output) return;
  const std::string written = keepway::reader::write_output(*output);
  const auto again = keepway::reader::read_output(written, 3);
  require(again.has_value());
  require(keepway::reader::write_output(*again) == written);
}

void as_file(std::string_view bytes) {
  std::string file = keepway::ReadingMemory().write(reader);
  file += bytes;
  const auto memory = keepway::ReadingMemory::read(file, reader);
  if (memory) (void)memory->write(reader);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  as_output(bytes);
  as_file(bytes);
  return 0;
}
