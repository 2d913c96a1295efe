// Any bytes as a table in normal form: what is accepted is what we would have written, and all else is an
// error. As a path of state/ or originals/: a name that is read back leads to the same path.
#include <optional>
#include <string_view>

#include "keepway/state.hpp"
#include "require.hpp"

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  using namespace keepway;
  using fuzz::require;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  try {
    const Table table = read_table(bytes, "file");
    require(write_table(table) == bytes);
    for (const Item& item : table) require(find_item(table, item.key) != nullptr);
  } catch (const Error& error) {
    require(error.kind() == ErrorKind::input);
  }
  const std::string escaped = escape(bytes);
  require(unescape(escaped) == std::string(bytes));
  for (const char c : escaped) require(static_cast<unsigned char>(c) >= 0x20 && c != 0x7f);
  std::optional<std::string> safe;
  try {
    safe = safe_path(bytes);
  } catch (const Error& error) {
    require(error.kind() == ErrorKind::refused);
  }
  if (!safe) return 0;
  require(received_name(*safe) == bytes);
  require(!safe->starts_with('/') && ("/" + *safe + "/").find("/../") == std::string::npos);
  const auto name = program_name_from_path(program_path(bytes));
  require(name && program_path(*name) == program_path(bytes));
  return 0;
}
