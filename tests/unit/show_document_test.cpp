#include <gmock/gmock.h>

#include <algorithm>

#include "keepway/document.hpp"
#include "show/document/blocks.hpp"

namespace keepway::show {
namespace {

using testing::HasSubstr;

const Style plain;
const Style coloured{.color = true};

TEST(Document, TextIsWrappedAndCodeIsNot) {
  const std::string word = "twelve chars";
  std::string paragraph;
  for (int i = 0; i < 10; ++i) paragraph += word + "\n";
  const std::string code(120, 'x');
  const std::string text = document_text("# Title: a test\n\n" + paragraph + "\n    " + code + "\n", plain);
  EXPECT_TRUE(text.starts_with("Title: a test\n\ntwelve chars twelve chars")) << text;
  EXPECT_THAT(text, HasSubstr("\n    " + code + "\n"));
  for (std::size_t at = 0, end = 0; (end = text.find('\n', at)) != std::string::npos; at = end + 1) {
    const bool is_code = text.compare(at, 4, "    ") == 0;
    EXPECT_TRUE(is_code || end - at <= 90) << text;
  }
}

TEST(Document, MarksAreBoldWithColourAndStayWithoutIt) {
  EXPECT_EQ(document_text("Say `a b` **now**.\n", plain), "Say `a b` **now**.\n");
  EXPECT_EQ(document_text("Say `a b` **now**.\n", coloured), "Say \x1b[1ma b\x1b[0m \x1b[1mnow\x1b[0m.\n");
  EXPECT_EQ(document_text("One ` alone\n", coloured), "One ` alone\n");
}

TEST(Document, ListsTablesQuotesAndLinks) {
  EXPECT_EQ(document_text("- one\n  goes on\n- two, [see](there.md)\n", plain),
            "  - one goes on\n  - two, see\n");
  EXPECT_EQ(document_text("| a | b |\n|---|---|\n| `long` | x |\n| y | z |\n", plain),
            "  a     b\n  long  x\n  y     z\n");
  EXPECT_EQ(document_text("> Take\n> care.\n", plain), "  ! Take care.\n");
  EXPECT_EQ(document_text("[[source]] and [x] stay\n", plain), "[[source]] and [x] stay\n");
}

TEST(Document, CodeKeepsItsEmptyLinesAndFencesTheirMarks) {
  EXPECT_EQ(document_text("Run:\n\n    a\n\n    b\n\nDone.\n", plain), "Run:\n\n    a\n\n    b\n\nDone.\n");
  EXPECT_EQ(document_text("```toml\n# no heading\n\n| no row\n```\nText.\n", plain),
            "    # no heading\n\n    | no row\n\nText.\n");
}

TEST(Document, AFenceThatNeverClosesAndAnEmptyTextDoNoHarm) {
  EXPECT_EQ(document_text("", plain), "");
  EXPECT_EQ(document_text("```\nx\n", plain), "    x\n");
  EXPECT_EQ(document_text("|\n", plain), "");
}

TEST(Document, AManualPageEscapesWhatRoffWouldTake) {
  const Topic topic{.name = "test",
                    .title = "a test",
                    .markdown = "# Test: a test\n\n.start `--x\\n` **b**\n\n    'quoted\n"};
  const std::string page = document_manual(topic, "0.1.0");
  EXPECT_THAT(page, HasSubstr(".TH \"KEEPWAY\\-TEST\" 7 \"\" \"keepway 0.1.0\""));
  EXPECT_THAT(page, HasSubstr("keepway\\-test \\- a test\n.SH DESCRIPTION\n"));
  EXPECT_THAT(page, HasSubstr("\n\\&.start \\fB\\-\\-x\\en\\fR \\fBb\\fR\n"));
  EXPECT_THAT(page, HasSubstr(".nf\n\\&'quoted\n.fi\n"));
}

// The documents use no more of Markdown than is understood: what is not would reach a terminal as it is.
TEST(Document, TheTopicsUseOnlyWhatIsUnderstood) {
  ASSERT_GE(topics().size(), 12U);
  EXPECT_EQ(topics()[0].name, "guide");
  EXPECT_EQ(topics()[1].name, "layout");
  EXPECT_EQ(topics()[2].name, "namebook");
  for (const Topic& topic : topics()) {
    EXPECT_FALSE(topic.title.empty()) << topic.name;
    for (const Block& block : blocks_of(topic.markdown)) {
      if (block.kind == Block::Kind::code) continue;
      EXPECT_FALSE(block.text.starts_with("#") || block.text.starts_with("* ") ||
                   block.text.starts_with("![") || block.text.starts_with("<") ||
                   block.text.starts_with("1. "))
          << topic.name << ": " << block.text;
      EXPECT_EQ(std::count(block.text.begin(), block.text.end(), '`') % 2, 0)
          << topic.name << ": " << block.text;
      const bool row = block.kind == Block::Kind::row;
      EXPECT_EQ(row, !block.rest.empty()) << topic.name << ": " << block.text;
    }
  }
}

}  // namespace
}  // namespace keepway::show
