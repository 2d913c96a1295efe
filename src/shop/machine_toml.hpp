// machine.toml: what the owner said of the machine at enrolling, and its facts one by one.
#pragma once

#include <string>
#include <string_view>

#include "keepway/status.hpp"
#include "shop/clashes.hpp"

namespace keepway {

std::string write_machine_toml(const MachineFacts& facts);

// A fact's value as TOML text; empty where the file has none. `key` is "units", or "battery.changed".
std::string fact_text(std::string_view machine_toml, const std::string& file, const std::string& key);
// With one fact set to a TOML value, or taken out by an empty one, and the rest as it is, comments too.
// Error{input} when the text does not parse; Error{refused} when it cannot be edited safely.
std::string set_fact(const std::string& machine_toml, const std::string& file, const std::string& key,
                     const std::string& value);
// See join_edits(). Errors as of set_fact().
Joined join_facts(const std::string& base, const std::string& first, const std::string& later,
                  const std::string& file);

}  // namespace keepway
