// Text that copies share.
#include <gtest/gtest.h>

#include "keepway/shared_text.hpp"

namespace keepway {
namespace {

TEST(SharedText, CopiesAreOneTextUntilOneIsChanged) {
  const SharedText text = "G0 X1\n";
  SharedText copy = text;
  EXPECT_EQ(&copy.str(), &text.str());
  copy.edit() += "M30\n";
  EXPECT_EQ(text.str(), "G0 X1\n");
  EXPECT_EQ(copy.str(), "G0 X1\nM30\n");
  const std::string* own = &copy.str();
  copy.edit() += "%\n";
  EXPECT_EQ(&copy.str(), own) << "it is its own already";
}

TEST(SharedText, IsComparedByWhatItSays) {
  EXPECT_EQ(SharedText("G0"), SharedText(std::string("G0")));
  EXPECT_FALSE(SharedText("G0") == SharedText("G1"));
  EXPECT_EQ(SharedText(), SharedText(""));
  SharedText emptied = "G0";
  emptied.edit().clear();
  EXPECT_TRUE(emptied.empty());
  EXPECT_EQ(emptied, SharedText());
}

}  // namespace
}  // namespace keepway
