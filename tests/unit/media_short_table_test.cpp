// Names that a floppy can hold, for those that it cannot. All are invented.
#include <gtest/gtest.h>

#include "keepway/media.hpp"

namespace keepway::media {
namespace {

TEST(ShortNames, AreNumberedFromOneWhereTheyAreTaken) {
  Set set;
  for (const char* name : {"FLANGE-L.NC", "FLANGE-LEFT.NC", "FLANGE-LONG.NC"})
    set.files.push_back({name, "M30\n", std::nullopt});
  const std::vector<ShortName> changed = shorten_names(set);
  ASSERT_EQ(changed.size(), 2U);
  EXPECT_EQ(changed[0].on_floppy, "FLANGE-1.NC");
  EXPECT_EQ(changed[1].on_floppy, "FLANGE-2.NC");
}

}  // namespace
}  // namespace keepway::media
