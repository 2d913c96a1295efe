// Rows are found through hashes; here they are beside a plain walk through the book, row by row. Invented
// data.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <random>

#include "keepway/namebook.hpp"

namespace keepway {
namespace {

std::vector<std::string> parts_of(const std::string& text) {
  std::vector<std::string> parts(1);
  for (const char c : text) {
    if (c == '/') {
      parts.emplace_back();
    } else {
      parts.back() += c;
    }
  }
  return parts;
}

// What the contract says, read off it: the first row of that address, else the first pattern that covers it.
const Entry* by_walking(const Namebook& book, const std::string& address) {
  for (const Entry& entry : book.entries()) {
    if (entry.address == address) return &entry;
  }
  for (const Entry& entry : book.entries()) {
    const auto pattern = parts_of(entry.address);
    const auto given = parts_of(address);
    bool covers = pattern.size() == given.size();
    for (std::size_t i = 0; covers && i < given.size(); ++i)
      covers = pattern[i] == "*" || pattern[i] == given[i];
    if (covers) return &entry;
  }
  return nullptr;
}

TEST(NamebookLookup, FindsWhatAWalkThroughTheBookFinds) {
  std::mt19937 random(7);
  const auto part = [&](bool stars) {
    static const std::vector<std::string> some = {"a", "b", "1", "2", "*", "*"};
    return some[random() % (stars ? some.size() : some.size() - 2)];
  };
  const auto address = [&](bool stars) {
    std::string text = random() % 2 == 0 ? "offsets" : "settings";
    for (std::size_t i = random() % 3 + 1; i > 0; --i) text += "/" + part(stars);
    return text;
  };
  for (int round = 0; round < 40; ++round) {
    std::vector<Entry> entries;
    for (int i = 0; i < 30; ++i) {
      Entry entry;
      entry.address = address(true);
      entry.name = fmt::format("row {}", i);
      entries.push_back(entry);
    }
    const Namebook book = Namebook::of(entries);
    const Namebook copy = book;
    for (int i = 0; i < 200; ++i) {
      const Address asked = Address::parse(address(false));
      const Entry* expected = by_walking(book, asked.text());
      const Entry* found = book.row(asked.group, asked.key);
      ASSERT_EQ(found == nullptr, expected == nullptr) << asked.text();
      if (expected != nullptr) {
        ASSERT_EQ(found->name, expected->name) << asked.text();
      }
      const Entry* in_copy = copy.row(asked.group, asked.key);
      ASSERT_EQ(in_copy == nullptr, expected == nullptr);
      if (in_copy != nullptr) {
        ASSERT_EQ(in_copy->name, expected->name);
      }
    }
  }
}

TEST(NamebookLookup, ARowHasItsStarsAsTypedAndAnEntryWhatTheyStandFor) {
  const Namebook book = Namebook::parse("address\tname\noffsets/tool/*/*\tTool * *\n", "n");
  ASSERT_NE(book.row(Group::offsets, "tool/3/length"), nullptr);
  EXPECT_EQ(book.row(Group::offsets, "tool/3/length")->name, "Tool * *");
  EXPECT_EQ(book.find(Group::offsets, "tool/3/length")->name, "Tool 3 length");
  EXPECT_EQ(book.find(Group::offsets, "tool/3/length")->address, "offsets/tool/3/length");
  EXPECT_EQ(book.row(Group::offsets, "tool/3"), nullptr);
  EXPECT_EQ(book.row(Group::variables, "tool/3/length"), nullptr);
}

}  // namespace
}  // namespace keepway
