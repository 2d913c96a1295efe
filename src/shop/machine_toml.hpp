// machine.toml: what the owner said of the machine at enrolling.
#pragma once

#include <string>
#include <string_view>

#include "keepway/status.hpp"

namespace keepway {

std::string write_machine_toml(const MachineFacts& facts);
// Error{input} with line.
MachineFacts parse_machine_toml(std::string_view text, const std::string& file);

}  // namespace keepway
