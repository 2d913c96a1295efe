// Any bytes through the reader `words`: see table.hpp for what must hold.
#include "table.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const keepway::Layout layout = keepway::parse_layout(R"(
layout = 1
[[source]]
group = "offsets"
files = "*"
reader = "words"
comment = [";", "("]
comment_field = "comment"
header = "blank"
least_increment = "0.0001"
[[source.row]]
match = "G10 L2"
address = "work/{P}"
rename = { P = { 1 = "G54" } }
fields = { X = "X", Y = "Y" }
[[source.row]]
address = "tool/{T}"
fields = { Z = "length", Q = { name = "code", kind = "text" } })",
                                                              "fuzz.toml");
  keepway::fuzz::check_reading(layout, {reinterpret_cast<const char*>(data), size});
  return 0;
}
