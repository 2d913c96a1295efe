// The items of one group of one backup, as lists show them.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "keepway/machine.hpp"
#include "keepway/text.hpp"

namespace keepway {

// By key; a program has its number of blocks for a value.
using SeenItems = std::map<std::string, std::string, NaturalLess>;

// What is lost of the backup's state is made again from its originals. `with_values`: programs' blocks are
// counted. Error{store} where neither can be had.
SeenItems items_of(const Machine& machine, const store::Oid& commit, Group group, bool with_values);

// What a name of the index stands for; nullopt for what is no item (`state/carried.tsv`).
std::optional<Address> item_of(std::string_view name);

// A program, rather than something among programs that was not understood.
inline bool is_program(const Address& address) {
  return address.group == Group::programs && !is_unread(address.key);
}

}  // namespace keepway
