// Where the deltas of a pack lead.
//
// Motivation: libgit2 1.5 follows an object's deltas to their base wherever they lead. One that names its
// base by id may name one that is made from itself: then the program would follow it for ever. A chain of a
// hundred thousand, each of which is read, takes minutes; a base of gigabytes is set aside whole for a result
// of ten bytes. Whoever fills a pack may write all of these, a disk that turns a bit does not. So chains are
// followed here first, each entry once: work and memory are linear in the entries, whatever they say.
// Source of the form: Git's gitformat-pack(5), "Deltified representation"; git-pack-objects(1), --depth.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <limits>
#include <optional>
#include <string_view>
#include <vector>

namespace keepway::store {

struct PackPlace {
  std::string_view id;  // 20 bytes
  std::uint64_t offset = 0;
};

inline constexpr std::uint64_t any_size = std::numeric_limits<std::uint64_t>::max();

inline constexpr std::size_t longest_chain = 4095;  // of deltas: the most that Git makes
inline constexpr const char* too_long_to_follow = "it holds a chain of more than 4095 deltas";
inline constexpr const char* too_large_to_read =
    "it holds an object larger than any file that a backup may have";

// What a delta says that its result is, by its first bytes; nullopt where they do not tell.
std::optional<std::uint64_t> result_of_delta(std::string_view head);

// What speaks against reading a pack's objects, for people: "its deltas lead in a circle"; nullptr for
// nothing. `places` are those of its index. Objects and deltas may be of `max_size` bytes each; with any_size
// no delta is inflated. A pack or an entry that cannot be read is libgit2's to refuse, which it does.
const char* fault_in_chains(const std::filesystem::path& pack, std::vector<PackPlace> places,
                            std::uint64_t max_size);

}  // namespace keepway::store
