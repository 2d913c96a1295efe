// The rooms of src/ as DEVELOPERS.md draws them: an include that the picture has no arrow for is a failure,
// and so is an arrow that no include draws.
#include <gmock/gmock.h>

#include <filesystem>
#include <fstream>
#include <map>
#include <optional>
#include <set>
#include <sstream>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;
using Names = std::set<std::string>;

struct Room {
  Names may_include;
  Names headers;  // in include/keepway/
};
using House = std::map<std::string, Room>;

// Lines of the block that opens with "```rooms": ROOM: ROOMS THAT IT INCLUDES | PUBLIC HEADERS
House house_in(std::istream& text, std::vector<std::string>& order) {
  House house;
  bool inside = false;
  for (std::string line; std::getline(text, line);) {
    if (line == "```rooms") inside = true;
    if (line == "```") inside = false;
    const std::size_t colon = line.find(':');
    if (!inside || colon == std::string::npos) continue;
    Room& room = house[line.substr(0, colon)];
    order.push_back(line.substr(0, colon));
    std::istringstream words(line.substr(colon + 1));
    Names* names = &room.may_include;
    for (std::string word; words >> word;) {
      if (word == "|") {
        names = &room.headers;
      } else {
        names->insert(word);
      }
    }
  }
  return house;
}

std::vector<std::string> includes_of(const fs::path& file) {
  std::ifstream in(file);
  std::vector<std::string> found;
  constexpr std::string_view start = "#include \"";
  for (std::string line; std::getline(in, line);) {
    if (line.starts_with(start)) found.push_back(line.substr(start.size(), line.rfind('"') - start.size()));
  }
  return found;
}

class HouseTest : public testing::Test {
 protected:
  void SetUp() override {
    std::ifstream text(source_ / "DEVELOPERS.md");
    house_ = house_in(text, order_);
    ASSERT_GT(house_.size(), 10U);
    for (const auto& [name, room] : house_) {
      for (const std::string& header : room.headers) owner_["keepway/" + header + ".hpp"] = name;
    }
    for (const auto& entry : fs::recursive_directory_iterator(source_ / "src")) {
      const std::string ending = entry.path().extension().string();
      const std::string room = entry.path().lexically_relative(source_ / "src").begin()->string();
      if (ending == ".cpp" || ending == ".hpp") files_.emplace_back(room, entry.path());
    }
    for (const auto& entry : fs::directory_iterator(source_ / "include/keepway")) {
      const std::string name = "keepway/" + entry.path().filename().string();
      EXPECT_TRUE(owner_.contains(name)) << name << " belongs to no room of the picture";
      files_.emplace_back(owner_[name], entry.path());
    }
  }

  [[nodiscard]] std::optional<std::string> room_of(const std::string& include) const {
    if (const auto found = owner_.find(include); found != owner_.end()) return found->second;
    const std::string room = include.substr(0, include.find('/'));
    return house_.contains(room) ? std::optional(room) : std::nullopt;
  }

  const fs::path source_ = KEEPWAY_SOURCE;
  House house_;
  std::vector<std::string> order_;
  std::map<std::string, std::string> owner_;
  std::vector<std::pair<std::string, fs::path>> files_;
};

TEST_F(HouseTest, EveryIncludeIsAnArrowOfThePicture) {
  std::map<std::string, Names> drawn;
  for (const auto& [room, file] : files_) {
    ASSERT_TRUE(house_.contains(room)) << file << " lies in a room that the picture lacks";
    for (const std::string& include : includes_of(file)) {
      const auto to = room_of(include);
      ASSERT_TRUE(to) << file << " includes " << include << ", which no room owns";
      if (*to == room) continue;
      drawn[room].insert(*to);
      EXPECT_TRUE(house_[room].may_include.contains(*to)) << file << " includes " << include;
    }
  }
  for (const auto& [name, room] : house_) EXPECT_EQ(drawn[name], room.may_include) << name;
}

TEST_F(HouseTest, ArrowsGoOneWay) {
  Names above;
  for (const std::string& name : order_) {
    for (const std::string& to : house_[name].may_include) {
      EXPECT_TRUE(above.contains(to)) << name << " includes " << to << ", which stands below it";
    }
    above.insert(name);
  }
}

TEST_F(HouseTest, TheProgramAndWhatIsShownUsePublicHeadersAlone) {
  for (const auto& [room, file] : files_) {
    if (room != "cli" && room != "show") continue;
    for (const std::string& include : includes_of(file)) {
      const bool own = include.starts_with(room + "/") || include.starts_with("keepway/");
      EXPECT_TRUE(own) << file << " includes " << include;
    }
  }
}

}  // namespace
