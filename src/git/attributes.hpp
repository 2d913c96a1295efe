// What a machine's repository tells Git about its files.
#pragma once

#include <string_view>

namespace keepway::store {

inline constexpr std::string_view attributes_path = ".gitattributes";

// Git clients must not convert line ends, whatever their own configuration says; they show and merge state
// by item with the drivers that `keepway hooks` names in their configuration, and leave originals whole.
inline constexpr std::string_view attributes =
    "* -text\n"
    "/state/*.tsv diff=keepway merge=keepway\n"
    "/state/programs/** merge=keepway\n"
    "/originals/** -diff -merge\n";

// As repositories got it before there were drivers.
inline constexpr std::string_view first_attributes = "* -text\n";

// Whether a text is one that keepway writes, now or earlier, or says nothing. Of any other it is not known
// what it would have Git do to originals: convert line ends, put dates in, run a filter.
constexpr bool is_own_attributes(std::string_view text) {
  return text.empty() || text == attributes || text == first_attributes;
}

}  // namespace keepway::store
