// Any bytes as a namebook, typed or from a spreadsheet: what is read is written and read again as the same.
#include "keepway/namebook.hpp"

#include <optional>
#include <string_view>

#include "require.hpp"

namespace {

using namespace keepway;
using fuzz::require;

// Only the bytes themselves may be refused: what we wrote reads back.
template <class Read>
auto accepted(Read read) -> std::optional<decltype(read())> {
  try {
    return read();
  } catch (const Error& error) {
    require(error.kind() == ErrorKind::input);
    return std::nullopt;
  }
}

void as_typed(std::string_view bytes) {
  const auto book = accepted([&] { return Namebook::parse(bytes, "file"); });
  if (!book) return;
  const std::string written = book->write();
  const Namebook again = Namebook::parse(written, "written");
  require(again.entries().size() == book->entries().size());
  require(again.write() == written);
  for (const Entry& entry : book->entries()) {
    for (const Group group : all_groups) (void)book->find(group, entry.address);
  }
  // Setting nothing changes nothing that a reader of the book would see.
  require(Namebook::parse(set_entries(bytes, "file", {}), "set").write() == written);
}

void as_spreadsheet(std::string_view bytes) {
  const auto entries = accepted([&] { return read_namebook_csv(bytes, "file"); });
  if (!entries) return;
  const std::string csv = namebook_csv(Namebook::of(*entries));
  require(namebook_csv(Namebook::of(read_namebook_csv(csv, "written"))) == csv);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  as_typed(bytes);
  as_spreadsheet(bytes);
  return 0;
}
