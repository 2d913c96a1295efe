// The counter with a stick of three slots. Images that its command names take the place of devices.
#pragma once

#include <fmt/format.h>

#include <string>

#include "counter_fixture.hpp"

namespace scenario {

class CounterStick : public Counter {
 protected:
  [[nodiscard]] Args command() const override {
    return {
        "counter", "mill", "--json", "--stick", stick().string(), "--stick", (root() / "none.img").string()};
  }
  void SetUp() override {
    Counter::SetUp();
    fill();
    enter();
  }
  [[nodiscard]] fs::path stick() const { return root() / "stick.img"; }
  // Slot 2 has a backup; 1 and 3 have none.
  void fill() {
    std::string bytes(3 * spacing, '\0');
    for (std::size_t i = 0; i < 3; ++i) {
      const fs::path image = root() / fmt::format("floppy-{}.img", i);
      fs::remove(image);
      ASSERT_EQ(
          run("mkfs.fat", {"-C", "-n", fmt::format("SLOT{}", i + 1), image.string(), "1440"}, root()).exit,
          0);
      if (i == 1) {
        for (const auto& [name, text] : third()) {
          write_file(root() / name, text);
          ASSERT_EQ(run("mcopy", {"-o", "-m", "-i", image.string(), name, "::"}, root()).exit, 0);
        }
      }
      const std::string volume = read_file(image);
      bytes.replace(i * spacing, volume.size(), volume);
    }
    write_file(stick(), bytes);
  }
  int listed() {
    const Json said = act("sticks", Json::object());
    for (const Json& each : said.at("answer").at("sticks")) {
      if (each.at("path") == stick().string()) return each.at("number");
    }
    return 0;
  }
  std::string chosen() { return act("stick", {{"number", listed()}}).at("drop"); }
  static constexpr std::size_t spacing = 1'572'864;
};

}  // namespace scenario
