// How keepway says that something cannot be done.
//
// Every failure that a person can meet is an Error: what happened, what to do about it, where it
// is (file, line, byte), and the exit code that a program calling `keepway` sees. Functions in the
// library throw Error and nothing else of their own; std::bad_alloc may pass through.
#pragma once

#include <cstdint>
#include <optional>
#include <stdexcept>
#include <string>

namespace keepway {

// Process exit codes, part of the command-line contract.
enum class Exit : int {
  done = 0,     // done, and nothing to report
  look = 1,     // done, and there is something to look at
  usage = 2,    // wrong usage
  input = 3,    // bad input
  store = 4,    // the store or the disk failed
  refused = 5,  // refused for safety
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
  Error(Exit code, const std::string& what, std::string remedy, Place place = {});

  [[nodiscard]] Exit code() const noexcept { return code_; }
  [[nodiscard]] const std::string& remedy() const noexcept { return remedy_; }
  [[nodiscard]] const Place& place() const noexcept { return place_; }
  // What happened, behind its place where there is one: "ofs.txt:12 (byte 340): what".
  [[nodiscard]] std::string told() const;

 private:
  Exit code_;
  std::string remedy_;
  Place place_;
};

}  // namespace keepway
