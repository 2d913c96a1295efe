// `keepway slots PATH --prepare COUNT`: what a person says of it, what is asked back, and the doing.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/command.hpp"

namespace keepway::cli {

struct PrepareOptions {
  std::size_t count = 0;  // 0: nothing is to be prepared
  std::size_t first = 1;
  std::size_t spacing = 0;
  std::string size = "1440";
  std::optional<std::string> label;
  std::string confirm;
  bool device = false;
  bool no_keep = false;
};

void add_prepare_options(Command made, PrepareOptions& options);
// Shows what would go, has the medium's name typed where it exists, and prepares it. Error{refused} without
// that name; as media::plan_prepare and media::prepare.
void prepare_medium(const Globals& globals, const std::string& path, const PrepareOptions& options,
                    const std::vector<Machine>& machines);

}  // namespace keepway::cli
