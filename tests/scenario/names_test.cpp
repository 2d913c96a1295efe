// Names, kinds and meanings of items, given at the command line. All names are invented.
#include <gmock/gmock.h>

#include "shop_fixture.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

class Names : public ShopTest {
 protected:
  void SetUp() override {
    ShopTest::SetUp();
    enroll_lathe();
  }
};

TEST_F(Names, MeaningsAreGivenInOneWord) {
  const Ran edited =
      kw({"names", "lathe", "edit", "parameters/21", "--kind", "choice", "--meaning", "400=slow;500=fast"});
  EXPECT_EQ(edited.exit, 0) << edited.err;
  EXPECT_THAT(read_file(repository("lathe") / "namebook.tsv"), HasSubstr("\t400=slow;500=fast\t"));
  const Ran odd = kw({"names", "lathe", "edit", "parameters/21", "--meaning", "400=slow;fast"});
  EXPECT_EQ(odd.exit, 2);
  EXPECT_THAT(odd.err, HasSubstr("'fast' has no '='"));
  intake("lathe", lathe_files(), 0);  // it stores what was edited before it
}

}  // namespace
}  // namespace scenario
