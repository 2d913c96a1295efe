// The card that hangs on the machine: how to take a backup, what a good one looks like, how to put one back,
// and its offsets, from the second side on to the first, as far as there is room.
// Two sides, one A4 or Letter page each.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "keepway/machine.hpp"
#include "keepway/state.hpp"
#include "keepway/steps.hpp"

namespace keepway::show {

enum class Paper { a4, letter };

struct SheetFile {
  std::string name;  // as received, or a pattern with the serial filled in
  std::optional<std::uint64_t> bytes;
  bool lost = false;  // from what is stored
};

struct SheetFacts {
  const MachineFacts& machine;
  OwnerSteps steps;
  std::optional<Backup> good;  // the newest good one
  std::vector<SheetFile> files;
  std::int64_t made = 0;
  Paper paper = Paper::a4;
  bool lost = false;                       // files of `good`: it cannot be restored whole
  Table offsets;                           // of `good`; none where its state is lost
  Precision precision;                     // of `good`
  std::optional<std::int64_t> backup_due;  // see status.hpp
};

// A whole HTML file; nothing in it needs another.
std::string sheet(const SheetFacts& facts);

// A QR code as SVG with its quiet zone of four modules (ISO/IEC 18004; the number from memory). `text` is up
// to 300 bytes.
std::string qr_svg(const std::string& text, const std::string& title);

}  // namespace keepway::show
