// How keepway says that something cannot be done.
//
// Every failure that a person can meet is an Error: what happened, what to do about it, where it
// is (file, line, byte), and its kind. Functions in the
// library throw Error and nothing else of their own; std::bad_alloc may pass through.
#pragma once

#include <cstdint>
#include <optional>
#include <stdexcept>
#include <string>

namespace keepway {

// What kind of failure it is, for a caller that reacts to it.
enum class ErrorKind {
  usage,    // the caller asked for something that is not there or makes no sense
  input,    // a file that was given is not as it must be
  store,    // the store or the disk failed
  refused,  // refused for safety
};

// A place in a file a person gave us. Lines count from 1, bytes from 0.
struct Place {
  std::string file;
  std::optional<std::uint64_t> line = std::nullopt;
  std::optional<std::uint64_t> byte = std::nullopt;

  // "ofs.txt:12 (byte 340)"; empty when there is no file.
  [[nodiscard]] std::string text() const;
};

class Error : public std::runtime_error {
 public:
  // `what` says what happened, `remedy` what to do; both are one line, without a final stop needed.
  Error(ErrorKind kind, const std::string& what, std::string remedy, Place place = {});

  [[nodiscard]] ErrorKind kind() const noexcept { return kind_; }
  [[nodiscard]] const std::string& remedy() const noexcept { return remedy_; }
  [[nodiscard]] const Place& place() const noexcept { return place_; }
  // What happened, behind its place where there is one: "ofs.txt:12 (byte 340): what".
  [[nodiscard]] std::string message() const;

 private:
  ErrorKind kind_;
  std::string remedy_;
  Place place_;
};

}  // namespace keepway
