// A commit's message: summary, body and Git trailers, written so that it reads back.
#pragma once

#include <string>
#include <string_view>

#include "keepway/commit.hpp"

namespace keepway::store {

struct Message {
  std::string summary;
  std::string body;
  Trailers trailers;
};

// Error{usage} for a trailer's name that is not letters, digits and hyphens.
std::string write_message(const NewCommit& commit);

// Trailers are the last paragraph, and only when each of its lines is one (`Name: value`, or a
// line that begins with a space and goes on with the one above); else all is body. Any bytes.
Message read_message(std::string_view text);

// A person's name as a commit can hold it: no `<`, `>` or control bytes, trimmed; "unknown" if empty.
std::string clean_name(std::string_view name);

}  // namespace keepway::store
