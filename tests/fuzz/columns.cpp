// Any bytes through the reader `columns`, its first byte choosing how columns are parted: see table.hpp for
// what must hold.
#include <array>

#include "table.hpp"

namespace {

keepway::Layout make_layout(const std::string& columns) {
  return keepway::parse_layout(R"(
layout = 1
[[source]]
group = "offsets"
files = "*"
reader = "columns"
comment = ";"
comment_field = "note"
header = "blank"
address = "{n}"
fields = { v = "", w = { name = "w", kind = "text" } }
ascending = true
must = ["1-9"]
limits = { "3" = { min = "0", max = "9", whole = true } }
places = { "20-22" = "variables/{X,Y,Z}" }
)" + columns,
                               "fuzz.toml");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string named = "columns = [{ name = \"n\", kind = \"whole\" }, \"v\", \"w\"]\n";
  static const std::array<keepway::Layout, 4> layouts = {
      make_layout(named), make_layout(named + "split = \"tab\"\n"),
      make_layout(named + "split = \"comma\"\n"),
      make_layout(
          "split = \"fixed\"\ncolumns = [{ name = \"n\", at = 0, width = 4 }, { name = \"v\", at = 5, "
          "width = 6 }, { name = \"w\", at = 12, width = 3 }]\n")};
  if (size == 0) return 0;
  keepway::fuzz::check_reading(layouts[data[0] % layouts.size()],
                               {reinterpret_cast<const char*>(data) + 1, size - 1});
  return 0;
}
