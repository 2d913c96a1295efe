#include "keepway/slot_owner.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <set>
#include <tuple>

#include "base/digit.hpp"
#include "base/encoding.hpp"
#include "keepway/layout.hpp"
#include "keepway/text.hpp"
#include "layout/glob.hpp"
#include "reader/clean.hpp"
#include "reader/lines.hpp"
#include "reader/serial_line.hpp"
#include "reader/text.hpp"

namespace keepway {
namespace {

constexpr std::size_t most_heading = 8;        // lines
constexpr std::size_t longest_carrier = 1024;  // the work on a pattern is the product of the two
constexpr std::size_t label_room = 11;         // bytes of a volume's label
constexpr std::size_t shortest_said = 3;       // a shorter serial is in any text by chance

// The files of a slot as text.
struct SlotText {
  std::string name;
  std::string_view text;
};

std::string quoted_line(const SlotText& file, const reader::Line& line) {
  constexpr std::size_t most = 80;
  return fmt::format("{}:{} says '{}'", escape(file.name), line.number,
                     escape(reader::trim(line.text).substr(0, most)));
}

// What says whose a slot is, as one machine sees it.
struct SlotSays {
  bool ours = false;
  std::string another;
  bool has_carrier = false;  // the layout names a line with the serial that the files have
};

// The first line of a file that the layout says carries the serial.
void look_at_carrier(const Source& source, const SlotText& file, const std::string& serial, SlotSays& says) {
  const std::string carrier = as_received(source.encoding, source.serial);
  const layout::LinePattern ours(carrier, serial);
  const layout::LinePattern any(carrier, serial, true);
  reader::Lines lines(file.text);
  for (reader::Line line; lines.next(line);) {
    if (line.text.size() > longest_carrier || reader::trim(line.text).empty() || !any.fits(line.text))
      continue;
    says.has_carrier = true;
    if (ours.fits(line.text))
      says.ours = true;
    else if (says.another.empty())
      says.another = quoted_line(file, line);
    return;
  }
}

// What the files' headings name as a serial, with where.
using Named = std::map<std::string, std::string>;
Named named_in_headings(const std::vector<SlotText>& files) {
  Named found;
  for (const SlotText& file : files) {
    reader::Lines lines(file.text);
    reader::Line line;
    for (std::size_t i = 0; i < most_heading && lines.next(line); ++i) {
      std::string serial = reader::serial_in_line(line.text);
      if (!serial.empty()) found.emplace(lower(serial), quoted_line(file, line));
    }
  }
  return found;
}

std::vector<SlotText> texts_of(const media::Set& set, std::deque<reader::Cleaned>& cleaned) {
  std::vector<SlotText> files;
  for (const media::File& file : set.files) {
    reader::clean(file.bytes, file.name, cleaned.emplace_back());
    files.push_back({file.name, cleaned.back().text});
  }
  return files;
}

// The serials that the headings of the machine's newest backup name: a control may name one of its own, which
// is not on the nameplate.
using Serials = std::optional<std::set<std::string>>;  // none: not read yet
const std::set<std::string>& named_in_newest(const Machine& machine, Serials& known) {
  if (known) return *known;
  known.emplace();
  try {
    const auto newest = machine.shown();
    if (!newest) return *known;
    const media::Set set = machine.originals(newest->commit);
    std::deque<reader::Cleaned> cleaned;
    for (const auto& [serial, where] : named_in_headings(texts_of(set, cleaned))) known->insert(serial);
  } catch (const Error& lost) {
    if (lost.kind() != ErrorKind::store) throw;
  }
  return *known;
}

void look_at_headings(const Machine& machine, const Named& named, Serials& known, SlotSays& says) {
  if (named.empty()) return;
  const std::string& serial = machine.facts().serial;
  const bool ours = std::any_of(named.begin(), named.end(),
                                [&](const auto& each) { return reader::is_of_serial(each.first, serial); });
  if (ours) {
    says.ours = true;
    return;
  }
  const std::set<std::string>& newest = named_in_newest(machine, known);
  const bool is_known =
      std::any_of(named.begin(), named.end(), [&](const auto& each) { return newest.contains(each.first); });
  if (!is_known) says.another = named.begin()->second;
}

// A floppy cuts the names that it cannot hold: TOOLS.471 may be TOOLS.4711.
bool may_be_cut(const Source& source, const std::string& name, const std::string& serial) {
  if (name.find('~') != std::string::npos) return true;
  for (std::size_t left = 1; left < serial.size(); ++left) {
    if (match_name(source, name, serial.substr(0, left)) == NameMatch::yes) return true;
  }
  return false;
}

// `named`: in the headings of the files.
SlotSays what_is_said(const Machine& machine, const std::vector<SlotText>& files, const Named& named,
                      Serials& known) {
  SlotSays says;
  const std::string& serial = machine.facts().serial;
  if (serial.empty()) return says;
  bool taken = false;
  for (const SlotText& file : files) {
    for (const Source& source : machine.layout().sources) {
      const NameMatch match = match_name(source, file.name, serial);
      if (match == NameMatch::no) continue;
      taken = true;
      const bool other = match == NameMatch::wrong_serial && !may_be_cut(source, file.name, serial);
      if (other && says.another.empty())
        says.another = fmt::format("{} is named with another serial", escape(file.name));
      if (!source.serial.empty()) look_at_carrier(source, file, serial, says);
    }
  }
  if (taken && !says.has_carrier && says.another.empty()) look_at_headings(machine, named, known, says);
  return says;
}

// As a label has it: capitals, letters and digits alone.
std::string as_label(std::string_view text) {
  std::string out;
  for (const char c : text.substr(0, label_room)) {
    if (is_digit(c) || is_letter(c)) out += upper(c);
  }
  return out;
}

bool is_labelled(const Machine& machine, const media::Slot& slot) {
  const std::string label = as_label(slot.label);
  if (label.empty()) return false;
  return label == as_label(machine.facts().name) || label == as_label(machine.facts().title);
}

std::size_t taken_by(const Machine& machine, const media::Slot& slot) {
  const auto& sources = machine.layout().sources;
  return static_cast<std::size_t>(
      std::count_if(slot.files.begin(), slot.files.end(), [&](const media::SlotFile& file) {
        return std::any_of(sources.begin(), sources.end(), [&](const Source& source) {
          return match_name(source, file.name, machine.facts().serial) == NameMatch::yes;
        });
      }));
}

bool is_anywhere(const std::vector<SlotText>& files, const std::string& serial) {
  return serial.size() >= shortest_said && std::any_of(files.begin(), files.end(), [&](const SlotText& file) {
           return reader::has_word(file.text, serial);
         });
}

// The more, the likelier, in this order.
using Likeness = std::tuple<bool, bool, std::size_t, bool>;  // said, labelled, files taken, serial anywhere

}  // namespace

SlotOwner SlotOwners::of(const media::Slot& slot, const media::Set& files) {
  SlotOwner owner;
  std::deque<reader::Cleaned> cleaned;
  const std::vector<SlotText> texts = texts_of(files, cleaned);
  const Named named = named_in_headings(texts);
  Likeness best;
  std::size_t most_against = 0;
  std::vector<bool> labels;  // by machine
  for (const Machine& machine : machines_) labels.push_back(is_labelled(machine, slot));
  const bool is_named = std::find(labels.begin(), labels.end(), true) != labels.end();
  for (std::size_t i = 0; i < machines_.size(); ++i) {
    const Machine& machine = machines_[i];
    const std::string& name = machine.facts().name;
    const std::size_t taken = taken_by(machine, slot);
    const bool labelled = labels[i];
    SlotSays says = what_is_said(machine, texts, named, named_[i]);
    if (says.another.empty() && is_named && !labelled) says.another = "label " + escape(slot.label);
    if (!says.another.empty()) {
      if (owner.says.empty() || taken > most_against) owner.says = says.another;
      most_against = std::max(most_against, taken);
      owner.not_of.emplace(name, std::move(says.another));
      continue;
    }
    const Likeness like{says.ours, labelled, taken, is_anywhere(texts, machine.facts().serial)};
    if ((!says.ours && !labelled && taken == 0) || like < best) continue;
    if (like != best) owner.may_be.clear();
    best = like;
    owner.may_be.push_back(name);
  }
  if (owner.may_be.size() == 1) owner.machine = owner.may_be.front();
  if (!owner.may_be.empty()) owner.says.clear();
  return owner;
}

std::string is_of_another(const SlotOwner& owner, const std::string& machine) {
  if (const auto found = owner.not_of.find(machine); found != owner.not_of.end()) return found->second;
  const auto& may_be = owner.may_be;
  if (may_be.empty() || std::find(may_be.begin(), may_be.end(), machine) != may_be.end()) return "";
  return fmt::format("it seems to be of {}", fmt::join(may_be, " or "));
}

}  // namespace keepway
