// Any bytes as a commit's message: what is read can be written, and is then read as the same.
#include <string_view>

#include "git/message.hpp"
#include "require.hpp"

extern "C" int LLVMFuzzerTestOneInput(const unsigned char* data, std::size_t size) {
  using namespace keepway::store;
  using keepway::fuzz::require;
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);

  const Message first = read_message(bytes);
  const auto write = [](const Message& message) {
    NewCommit commit;
    commit.summary = message.summary;
    commit.body = message.body;
    commit.trailers = message.trailers;
    return write_message(commit);
  };
  const Message second = read_message(write(first));  // cleaned
  const Message third = read_message(write(second));
  require(second.trailers == first.trailers);  // values are escaped, so they come through whole
  require(third.summary == second.summary && third.body == second.body && third.trailers == second.trailers);
  require(second.summary.find('\n') == std::string::npos && !second.summary.empty());

  const std::string name = clean_name(bytes);
  require(!name.empty() && clean_name(name) == name);
  return 0;
}
