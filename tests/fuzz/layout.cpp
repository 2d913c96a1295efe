// Any bytes as a layout: a layout or an Error with the file's name, and what reads is used without harm.
#include <string>

#include "table.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  try {
    const keepway::Layout layout = keepway::parse_layout(text, "fuzz.toml");
    keepway::fuzz::check_reading(layout, "%\nG10 L2 P1 X1\n#300=1 ; x\n[a]\nb = c\n1 2 3\n%\n");
  } catch (const keepway::Error& error) {
    keepway::fuzz::require(error.place().file == "fuzz.toml");
  }
  return 0;
}
