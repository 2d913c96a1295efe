#include "cli/connections.hpp"

#include <netinet/in.h>
#include <sys/socket.h>

#include <vector>

namespace keepway::cli {
namespace {

constexpr std::size_t most_open = 200;
constexpr int most_request_seconds = 30;

// Each event of a connection; nothing but the sockets is kept, since the list is locked meanwhile.
int note_socket(const event_base* /*base*/, const event* each, void* sockets) {
  if (const int socket = event_get_fd(each); socket >= 0)
    static_cast<std::vector<int>*>(sockets)->push_back(socket);
  return 0;
}

}  // namespace

void Connections::look() {
  std::vector<int> sockets;
  event_base_foreach_event(base_, note_socket, &sockets);
  std::map<Key, Open> now;
  for (const int socket : sockets) {
    sockaddr_in peer{};
    socklen_t size = sizeof peer;
    if (::getpeername(socket, reinterpret_cast<sockaddr*>(&peer), &size) != 0 || peer.sin_family != AF_INET)
      continue;
    const Key key{socket, peer.sin_port};
    const auto known = open_.find(key);
    now.try_emplace(key, known == open_.end() ? Open{next_++} : known->second);
  }
  open_ = std::move(now);
}

void Connections::end(const Key& key, Open& open) {
  if (open.ended) return;
  open.ended = true;
  ::shutdown(key.first, SHUT_RDWR);
}

void Connections::came() {
  // The listener, the clock and the signals are events too; they are few.
  if (event_base_get_num_events(base_, EVENT_BASE_COUNT_ADDED) <= static_cast<int>(most_open)) return;
  look();
  std::map<std::uint64_t, Key> by_age;
  for (const auto& [key, open] : open_) {
    if (!open.ended) by_age.emplace(open.order, key);
  }
  for (auto oldest = by_age.begin(); by_age.size() > most_open; oldest = by_age.erase(oldest))
    end(oldest->second, open_.at(oldest->second));
}

void Connections::second_passed() {
  look();
  for (auto& [key, open] : open_) {
    if (++open.seconds > most_request_seconds) end(key, open);
  }
}

}  // namespace keepway::cli
