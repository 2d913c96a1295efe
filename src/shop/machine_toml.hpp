// machine.toml: what the owner said of the machine at enrolling.
#pragma once

#include <string>
#include <string_view>

#include "keepway/status.hpp"

namespace keepway {

std::string write_machine_toml(const MachineFacts& facts);

}  // namespace keepway
