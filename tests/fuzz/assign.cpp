// Any bytes through the reader `assign`: see table.hpp for what must hold.
#include "table.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const keepway::Layout layout = keepway::parse_layout(R"(
layout = 1
[[source]]
group = "offsets"
files = "*"
reader = "assign"
comment = [";", "("]
least_increment = "0.0001"
repeats = "number")",
                                                              "fuzz.toml");
  keepway::fuzz::check_reading(layout, {reinterpret_cast<const char*>(data), size});
  return 0;
}
