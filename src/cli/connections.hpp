// How many may be connected, and for how long. libevent's server waits for whoever sends a byte now and then,
// and takes as many connections as there are.
#pragma once

#include <event2/event.h>

#include <cstddef>
#include <cstdint>
#include <map>
#include <utility>

namespace keepway::cli {

// Connections are found in the list of events, since the server gives no other; one is ended by shutting its
// socket down, upon which the server closes it as if the other side had.
class Connections {
 public:
  explicit Connections(event_base* base) : base_(base) {}
  // Called where one has come: ends the oldest when there are too many.
  void came();
  // Called once a second: ends those that are older than a request may take. Seconds in which an answer was
  // being made count as one.
  void second_passed();

 private:
  using Key = std::pair<int, std::uint16_t>;  // socket, and the port of the other side
  struct Open {
    std::uint64_t order = 0;
    int seconds = 0;
    bool ended = false;
  };
  void look();
  static void end(const Key& key, Open& open);

  event_base* base_;
  std::map<Key, Open> open_;
  std::uint64_t next_ = 0;
};

}  // namespace keepway::cli
