// Objects that no Git writes in a remote that is a folder: deltas that lead in a circle, chains without end,
// results and contents of gigabytes in a few bytes, and what nests or names without end. Each is refused
// within seconds and in little memory, whoever offers it. All are made here.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <sys/resource.h>
#include <zlib.h>

#include <chrono>

#include "hostile_fixture.hpp"
#include "pack_maker.hpp"

namespace scenario {
namespace {

using testing::HasSubstr;

constexpr const char* circle = "its deltas lead in a circle";
const std::string one_id(40, 'a');
const std::string other_id(40, 'b');

fs::path packs_of(const Hub& hub) {
  return hub.folder() / "objects" / "pack";
}

void main_names(Hub& hub, const std::string& blob) {
  hub.main_tree(hub.with({{"100644", "x.txt", blob}}, "originals"));
}

const std::string five_of_five = delta_size(5) + delta_size(5) + "\x05hello";

constexpr std::size_t many = 300U << 20U;  // zeros, of which a thousand take one byte

std::vector<Case> circles() {
  return {{"an object made of itself",
           [](Hub& hub) {
             PackMaker pack;
             pack.delta_by_id(one_id, one_id, five_of_five);
             pack.write(packs_of(hub));
             hub.set("refs/heads/main", one_id);
           },
           circle},
          {"two objects made of each other",
           [](Hub& hub) {
             PackMaker pack;
             pack.delta_by_id(one_id, other_id, five_of_five);
             pack.delta_by_id(other_id, one_id, five_of_five);
             pack.write(packs_of(hub));
             main_names(hub, one_id);
           },
           circle},
          {"a circle that goes back by distance",
           [](Hub& hub) {
             PackMaker pack;
             const std::size_t first = pack.delta_by_id(one_id, other_id, five_of_five);
             pack.delta_by_distance(other_id, first, five_of_five);
             pack.write(packs_of(hub));
             main_names(hub, other_id);
           },
           circle},
          {"a circle through what its index does not list",
           [](Hub& hub) {
             PackMaker pack;
             const std::size_t first = pack.delta_by_id(one_id, other_id, five_of_five);
             pack.delta_by_distance(other_id, first, five_of_five);
             pack.unlist(one_id);
             pack.write(packs_of(hub));
             main_names(hub, other_id);
           },
           circle},
          {"a circle behind a size of ten bytes",
           [](Hub& hub) {
             PackMaker pack;
             const std::string size = "\xf8" + std::string(8, '\x80') + '\0';  // 8, and nothing above it
             pack.put(one_id, size + raw_of_id(one_id) + deflated(five_of_five));
             pack.write(packs_of(hub));
             main_names(hub, one_id);
           },
           circle},
          {"a base of two places",
           [](Hub& hub) {
             PackMaker pack;
             const std::string base = pack.whole("blob", "hello");
             pack.delta_by_id(one_id, base, five_of_five);
             pack.delta_by_id(base, one_id, five_of_five);
             pack.write(packs_of(hub));
             main_names(hub, one_id);
           },
           "two places"}};
}

// The last of a chain of deltas, all of which main names.
void long_chain(Hub& hub, bool by_id) {
  constexpr int links = 6'000;
  PackMaker pack;
  std::vector<Row> rows;
  std::string base = pack.whole("blob", std::string(8, 'x'));
  std::size_t at = PackMaker::begin;
  for (int i = 0; i < links; ++i) {
    const std::string text = fmt::format("{:08}", i);
    const std::string id = id_of("blob", text);
    const std::string delta = delta_size(8) + delta_size(8) + "\x08" + text;
    at = by_id ? pack.delta_by_id(id, base, delta) : pack.delta_by_distance(id, at, delta);
    rows.push_back({"100644", fmt::format("x{:05}.txt", i), id});
    base = id;
  }
  pack.write(packs_of(hub));
  hub.main_tree(hub.with(std::move(rows), "originals"));
}

std::vector<Case> sizes() {
  const auto blob = [](const std::function<void(PackMaker&)>& fill) {
    return [fill](Hub& hub) {
      PackMaker pack;
      fill(pack);
      pack.write(packs_of(hub));
      main_names(hub, one_id);
    };
  };
  constexpr const char* too_large = "larger than any file that a backup may have";
  return {
      {"a chain by distance", [](Hub& hub) { long_chain(hub, false); }, "more than 4095"},
      {"a chain by id", [](Hub& hub) { long_chain(hub, true); }, "more than 4095"},
      {"a result of terabytes", blob([](PackMaker& pack) {
         pack.whole("blob", "hello");
         pack.delta_by_distance(one_id, PackMaker::begin,
                                delta_size(5) + delta_size(1ULL << 42U) + "\x05hello");
       }),
       too_large},
      {"an object that says terabytes",
       blob([](PackMaker& pack) { pack.put(one_id, PackMaker::head(3, 1ULL << 42U) + deflated("hello")); }),
       too_large},
      {"a base of more than a file may have, for five bytes", blob([](PackMaker& pack) {
         const std::size_t at = pack.put(other_id, PackMaker::head(3, many) + deflated("", many));
         pack.delta_by_distance(one_id, at, delta_size(many) + delta_size(5) + "\x05hello");
       }),
       too_large},
      {"a loose object of zeros",
       [](Hub& hub) { main_names(hub, loose_object(hub.folder(), "blob", "", many)); }, too_large},
      {"a message of zeros",
       [](Hub& hub) {
         const std::string text = Hub::commit_text(hub.at("main^{tree}"), {hub.at("main")});
         hub.set("refs/heads/main", loose_object(hub.folder(), "commit", text, many));
       },
       "1 MiB"},
      {"more parents than a message holds",
       [](Hub& hub) {
         const std::vector<std::string> parents(100'000, hub.at("main"));
         hub.set("refs/heads/main", hub.object("commit", Hub::commit_text(hub.at("main^{tree}"), parents)));
       },
       "1 MiB"}};
}

std::vector<Case> nests() {
  return {{"a hundred thousand folders in each other",
           [](Hub& hub) {
             PackMaker pack;
             std::string tree = pack.whole("tree", tree_bytes({{"100644", "x", pack.whole("blob", "x")}}));
             for (int i = 0; i < 100'000; ++i) tree = pack.whole("tree", tree_bytes({{"40000", "d", tree}}));
             pack.write(packs_of(hub));
             hub.main_tree(hub.with({{"40000", "originals", tree}}));
           },
           "too deep"},
          {"a hundred thousand marks of each other",
           [](Hub& hub) {
             PackMaker pack;
             std::string id = hub.at("main");
             for (int i = 0; i < 100'000; ++i) {
               id =
                   pack.whole("tag", fmt::format("object {}\ntype {}\ntag t{}\ntagger E <e@e> 1 +0000\n\nx\n",
                                                 id, i == 0 ? "commit" : "tag", i));
             }
             pack.write(packs_of(hub));
             hub.set("refs/tags/deep", id);
           },
           "a mark of a mark"}};
}

class HostilePacks : public HostileTest {
 protected:
  // Each alone: no longer than a few seconds, of which most is the machine's that runs the tests.
  void expect_quickly_refused(const std::vector<Case>& all) {
    for (const Case& each : all) {
      const auto start = std::chrono::steady_clock::now();
      expect_refused(each);
      EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds(60)) << each.name;
    }
    rusage used{};
    ASSERT_EQ(::getrusage(RUSAGE_CHILDREN, &used), 0);
#ifdef KEEPWAY_FAULT_SHIM
    constexpr long megabytes = 200;
    EXPECT_LT(used.ru_maxrss / 1024, megabytes);
#endif
  }
};

TEST_F(HostilePacks, CirclesAreRefused) {
  expect_quickly_refused(circles());
}

TEST_F(HostilePacks, SizesAreRefused) {
  expect_quickly_refused(sizes());
}

TEST_F(HostilePacks, NestsAreRefused) {
  expect_quickly_refused(nests());
}

// A machine's folder that was copied from somebody: what the pack holds is missing, all else is there.
TEST_F(HostilePacks, ACircleInTheMachinesOwnFolderEndsNoCommand) {
  broken_ = true;
  PackMaker pack;
  pack.delta_by_id(one_id, other_id, five_of_five);
  pack.delta_by_id(other_id, one_id, five_of_five);
  pack.write(mill() / ".git/objects/pack");
  fs::create_directories(mill() / ".git/refs/heads/trial");
  write_file(mill() / ".git/refs/heads/trial/x", one_id + "\n");
  for (const Args& args : std::vector<Args>{{"history", "mill"}, {"status"}, {"show", "mill", "offsets"}})
    EXPECT_LE(kw(args).exit, 1) << args.front();
  for (const Args& args : std::vector<Args>{{"audit", "mill"}, {"tidy", "mill"}, {"sync", "mill"}})
    EXPECT_LE(kw(args).exit, 5) << args.front();
  EXPECT_LE(kw({"restore", "mill", "--at", "1", "--to", (root() / "back").string(), "--accept"}).exit, 1);
  EXPECT_EQ(read_file(root() / "back" / "O1001.ngc"), mill_files().at("O1001.ngc"));
}

// Nor in a clone that a repair takes from.
TEST_F(HostilePacks, ACircleInADonorEndsNoRepair) {
  const Hub made = hostile(circles()[1]);
  write_file(mill() / ".git/refs/heads/main", "no id\n");
  fs::remove(mill() / ".git/logs/refs/heads/main");
  const Ran ran = kw({"audit", "mill", "--from", made.folder().string()});
  EXPECT_EQ(ran.exit, 5) << ran.out << ran.err;
  EXPECT_EQ(read_file(mill() / ".git/refs/heads/main"), "no id\n");
  ASSERT_LE(kw({"audit", "mill", "--from", hub().string()}).exit, 1);
}

}  // namespace
}  // namespace scenario
