// The scripts of hooks/, which the build puts into the program so that an installed one has them.
#pragma once

#include <string_view>

namespace keepway {

extern const std::string_view pre_commit_hook;
extern const std::string_view commit_msg_hook;
extern const std::string_view pre_receive_hook;

}  // namespace keepway
