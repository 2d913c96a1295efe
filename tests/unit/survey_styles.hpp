// Whole backups of invented controls, read by what the survey proposes for them and nothing else.
#pragma once

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <ostream>
#include <string>
#include <utility>
#include <vector>

#include "keepway/survey.hpp"
#include "reader_support.hpp"

namespace keepway::test {

// A style, and what a person would read in it.
struct BackupStyle {
  std::string name;
  std::vector<std::pair<std::string, std::string>> files;
  std::size_t items = 0;  // values, in all groups
  std::size_t programs = 0;
  std::vector<std::pair<std::string, std::string>> values;  // address and value, some
  std::vector<std::string> texts = {};                      // addresses whose values are text
  std::string serial = {};                                  // that is found
  // All addresses of values, with choices in braces: "offsets/tool/{1,2}/{length,radius}". Where it is given,
  // no address may be missing, and none be there besides.
  std::vector<std::string> addresses = {};
  std::vector<std::string> text_fields =
      {};  // with it: addresses whose values are text, or the last parts of them
};

inline BackupStyle style(std::string name, std::vector<std::pair<std::string, std::string>> files,
                         std::vector<std::string> addresses,
                         std::vector<std::pair<std::string, std::string>> values,
                         std::vector<std::string> text_fields = {}, std::size_t programs = 0,
                         std::string serial = {}) {
  BackupStyle made;
  made.name = std::move(name);
  made.files = std::move(files);
  made.programs = programs;
  made.values = std::move(values);
  made.serial = std::move(serial);
  made.addresses = std::move(addresses);
  made.text_fields = std::move(text_fields);
  return made;
}

inline std::vector<BackupStyle> joined(std::vector<std::vector<BackupStyle>> lists) {
  std::vector<BackupStyle> all;
  for (auto& list : lists) {
    for (BackupStyle& each : list) all.push_back(std::move(each));
  }
  return all;
}

// "a/{1,2}/{x,y}" as its four texts.
inline std::vector<std::string> spread(const std::string& pattern) {
  const std::size_t open = pattern.find('{');
  if (open == std::string::npos) return {pattern};
  const std::size_t close = pattern.find('}', open);
  std::vector<std::string> all;
  for (std::size_t at = open + 1; at <= close;) {
    const std::size_t end = std::min(pattern.find(',', at), close);
    for (std::string& rest : spread(pattern.substr(close + 1)))
      all.push_back(pattern.substr(0, open) + pattern.substr(at, end - at) + rest);
    at = end + 1;
  }
  return all;
}

// Each address, and the kind of its value.
inline void expect_all_addresses(const BackupStyle& style, const Reading& reading) {
  std::vector<std::string> wanted;
  for (const std::string& pattern : style.addresses) {
    for (std::string& address : spread(pattern)) wanted.push_back(std::move(address));
  }
  std::vector<std::string> found;
  for (const Origin& origin : reading.origins) {
    if (origin.group == Group::programs) continue;
    const std::string address = std::string(group_name(origin.group)) + "/" + origin.key;
    found.push_back(address);
    const std::string last = address.substr(address.rfind('/') + 1);
    const auto is_in = [&](const std::string& each) { return each == last || each == address; };
    const bool text = std::any_of(style.text_fields.begin(), style.text_fields.end(), is_in);
    EXPECT_EQ(origin.kind == FieldKind::text, text) << address;
  }
  EXPECT_THAT(found, testing::UnorderedElementsAreArray(wanted));
}

// Else its bytes are printed, addresses among them, and each run lists other tests.
inline void PrintTo(const BackupStyle& style, std::ostream* out) {
  *out << style.name;
}

inline std::string style_name(const testing::TestParamInfo<BackupStyle>& info) {
  return info.param.name;
}

// A style is right when nothing is unread, no heading is an item, and keys, values and types are those that a
// person reads.
inline void expect_right(const BackupStyle& style) {
  std::vector<OriginalView> files;
  for (const auto& [name, text] : style.files) files.push_back({name, text});
  const Survey found = survey(files, "");
  SCOPED_TRACE(found.layout);
  EXPECT_TRUE(found.left_out.empty());
  if (!style.serial.empty()) {
    EXPECT_EQ(found.serial, style.serial);
  }
  const Reading reading =
      read_backup(parse_layout(found.layout, "proposed"), {found.serial, Units::inch}, files);
  std::string all;
  std::size_t items = 0;
  for (const Group group : all_groups) {
    if (!reading.state.table(group)) continue;
    for (const Item& item : *reading.state.table(group)) {
      all += std::string(group_name(group)) + "/" + item.key + " = " + item.value + "\n";
      EXPECT_FALSE(is_unread(item.key)) << item.value;
      ++items;
    }
  }
  if (style.addresses.empty()) {
    EXPECT_EQ(items, style.items) << all;
  } else {
    expect_all_addresses(style, reading);
  }
  EXPECT_EQ(reading.state.programs.size(), style.programs);
  EXPECT_EQ(count(reading, OddityKind::clashing_rows), 0U);
  for (const ProgramFacts& program : reading.programs) EXPECT_EQ(program.unread, 0U) << program.name;
  for (const auto& [address, wanted] : style.values) {
    EXPECT_EQ(value(reading, address), wanted) << address << "\n" << all;
  }
  for (const Origin& origin : reading.origins) {
    const std::string address = std::string(group_name(origin.group)) + "/" + origin.key;
    const bool text = std::find(style.texts.begin(), style.texts.end(), address) != style.texts.end();
    if (text) {
      EXPECT_EQ(origin.kind, FieldKind::text) << address;
    }
    if (origin.kind == FieldKind::text && style.addresses.empty()) {  // which say what is text
      EXPECT_FALSE(canonical_number(value(reading, address)).has_value()) << address << " is a number";
    }
  }
  // What a person is shown agrees with it.
  const Understood made = understood(parse_layout(found.layout, "proposed"), reading, files);
  std::size_t shown = 0;
  for (const auto& source : made.sources) shown += source.items;
  EXPECT_EQ(shown, items + style.programs);
  for (const SurveyedFile& file : found.files) EXPECT_EQ(file.unread, 0U) << file.name;
}

}  // namespace keepway::test
