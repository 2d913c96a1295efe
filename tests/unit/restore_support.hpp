// Helpers for the tests of putting items back: sets, layouts and states made from text. All data are
// invented.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <bit>
#include <string>
#include <utility>
#include <vector>

#include "keepway/compose.hpp"

namespace keepway::test {

inline media::Set make_set(std::vector<media::File> files) {
  std::sort(files.begin(), files.end(),
            [](const media::File& a, const media::File& b) { return a.name < b.name; });
  media::Set set;
  set.files = std::move(files);
  return set;
}

inline Reading read_set(const media::Set& set, const Layout& layout, const ReadContext& context = {}) {
  std::vector<OriginalView> views;
  for (const media::File& file : set.files) views.push_back({file.name, file.bytes});
  return read_backup(layout, context, views);
}

inline std::string bytes_of(const media::Set& set, std::string_view name) {
  for (const media::File& file : set.files) {
    if (file.name == name) return file.bytes;
  }
  return "(no file)";
}

// The state with one value changed. Precondition: the item is there.
inline State with_value(State state, const std::string& address, const std::string& value) {
  const Address at = Address::parse(address);
  for (Item& item : *state.table(at.group)) {
    if (item.key == at.key) item.value = value;
  }
  return state;
}

// Even parity in bit 8 (ISO 1113 / ECMA-10).
inline std::string even_parity(std::string text) {
  for (char& c : text) {
    if (std::popcount(static_cast<unsigned char>(c)) % 2 != 0) c = static_cast<char>(c | '\x80');
  }
  return text;
}

// A backup to compose from: its set, and what reads it.
struct Bench {
  Layout layout;
  media::Set set;
  ReadContext context;

  Bench(const std::string& toml, std::vector<media::File> files, ReadContext how = {})
      : layout(parse_layout(toml, "test.toml")), set(make_set(std::move(files))), context(std::move(how)) {}

  [[nodiscard]] Reading reading() const { return read_set(set, layout, context); }

  [[nodiscard]] Composed possible(const State& target, const std::vector<std::string>& asked,
                                  const std::vector<Donor>& donors = {}) const {
    return compose_possible(input(target, asked, donors));
  }
  [[nodiscard]] Composed composed(const State& target, const std::vector<std::string>& asked,
                                  const std::vector<Donor>& donors = {}) const {
    return compose(input(target, asked, donors));
  }
  // One value set and put back by its own address.
  [[nodiscard]] Composed changed(const std::string& address, const std::string& value) const {
    return possible(with_value(reading().state, address, value), {address});
  }

 private:
  [[nodiscard]] ComposeInput input(const State& target, const std::vector<std::string>& asked,
                                   const std::vector<Donor>& donors) const {
    std::vector<Address> addresses;
    for (const std::string& each : asked) addresses.push_back(Address::parse(each));
    return {set, layout, context, target, donors, addresses};
  }
};

}  // namespace keepway::test
