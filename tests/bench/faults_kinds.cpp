#include "faults_kinds.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace faults {
namespace {

using keepway::media::File;
using keepway::media::Set;

Faulty nothing() {
  Faulty none;
  none.made = false;
  return none;
}

bool is_program_file(const File& file) {
  return file.name.ends_with(".ngc");
}

// A random file that fits; nullptr when there is none.
File* pick(Set& set, Dice& dice, const std::function<bool(const File&)>& fits) {
  std::vector<File*> fitting;
  for (File& file : set.files) {
    if (fits(file)) fitting.push_back(&file);
  }
  return fitting.empty() ? nullptr : fitting[dice.below(fitting.size())];
}

using Change = std::function<bool(const Day&, File&, Dice&)>;
// A fault of one file's bytes.
std::function<Faulty(const Day&, Dice&)> in_file(Change change, std::size_t least = 40,
                                                 bool programs = true) {
  return [change = std::move(change), least, programs](const Day& day, Dice& dice) {
    Faulty faulty{day.normal, day.at, true};
    File* file = pick(faulty.set, dice, [&](const File& each) {
      return each.bytes.size() >= least && (programs || !is_program_file(each));
    });
    if (file == nullptr || !change(day, *file, dice)) return nothing();
    return faulty;
  };
}

std::vector<std::size_t> line_begins(const std::string& bytes) {
  std::vector<std::size_t> begins;
  for (std::size_t at = 0; at + 1 < bytes.size(); ++at) {
    if (bytes[at] == '\n') begins.push_back(at + 1);
  }
  return begins;
}

bool visible(const std::string& text) {
  return std::any_of(text.begin(), text.end(), [](char c) { return c > ' ' && c != 0x7f; });
}

bool cut_at(File& file, std::size_t at) {
  const std::string rest = file.bytes.substr(at);
  file.bytes.resize(at);
  return visible(rest) && visible(file.bytes);  // a trailer that is shorter is no cut
}

bool overwrite(File& file, Dice& dice, char with) {
  const std::size_t length = std::min<std::size_t>(32U << dice.below(5), file.bytes.size() / 2);
  const std::size_t at = 1 + dice.below(file.bytes.size() - length - 1);
  const std::string was = file.bytes.substr(at, length);
  if (!visible(was) || !visible(file.bytes.substr(0, at)) || !visible(file.bytes.substr(at + length)))
    return false;
  std::fill_n(file.bytes.begin() + static_cast<long>(at), length, with);
  return true;
}

// --- numbers ------------------------------------------------------------------------------------

struct Number {
  std::size_t at = 0;
  std::size_t length = 0;
};

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

// Amounts of a file: numbers behind an axis' or feed's letter, a `=`, a comma or a tab; none of comments, and
// not the number that a row or a program is known by.
std::vector<Number> amounts(const File& file) {
  const std::string& text = file.bytes;
  const bool program = is_program_file(file) || file.name == "JOBS.TXT" || file.name == "PROGRAMS.TXT";
  std::vector<Number> found;
  bool comment = false;
  for (std::size_t at = 1; at < text.size(); ++at) {
    if (text[at] == '(') comment = true;
    if (text[at] == ')' || text[at] == '\n') comment = false;
    const bool starts = is_digit(text[at]) || ((text[at] == '-' || text[at] == '.') && at + 1 < text.size() &&
                                               is_digit(text[at + 1]));
    if (!starts || comment) continue;
    const std::string_view before = program ? std::string_view("XYZF") : std::string_view("XYZRD=,\t");
    const bool amount = before.find(text[at - 1]) != std::string_view::npos ||
                        (!program && text[at - 1] == ' ' && at > 1 && text[at - 2] == '=');
    std::size_t end = at;
    while (end < text.size() && (is_digit(text[end]) || text[end] == '.' || text[end] == '-')) ++end;
    if (amount) found.push_back({at, end - at});
    at = end;
  }
  return found;
}

// Whether the line was the same yesterday: in what is new today, nobody can tell a slip.
bool is_old_line(const Day& day, const File& file, std::size_t at) {
  if (day.before.empty()) return false;
  const std::size_t begin = at == 0 ? 0 : file.bytes.find_last_of('\n', at - 1) + 1;
  const std::size_t end = std::min(file.bytes.find('\n', at), file.bytes.size());
  for (const File& was : day.before.back().files) {
    if (was.name == file.name)
      return ("\n" + was.bytes).find("\n" + file.bytes.substr(begin, end - begin) + "\n") !=
             std::string::npos;
  }
  return false;
}

using Slip = std::function<std::string(const std::string&)>;  // "" where it cannot be made
Change number_slip(Slip slip) {
  return [slip = std::move(slip)](const Day& day, File& file, Dice& dice) {
    const auto numbers = amounts(file);
    if (numbers.empty()) return false;
    const Number at = numbers[dice.below(numbers.size())];
    const std::string was = file.bytes.substr(at.at, at.length);
    if (!is_old_line(day, file, at.at)) return false;
    // The serial, the parts counter and dates are no amounts.
    if (was.find_first_of("123456789") == std::string::npos || was == day.serial ||
        was == std::to_string(day.memory.variables.at(300)) || was.find('-', 1) != std::string::npos)
      return false;
    const std::string now = slip(was);
    if (now.empty() || now == was) return false;
    file.bytes.replace(at.at, at.length, now);
    return true;
  };
}

std::string flip_sign(const std::string& text) {
  return text.front() == '-' ? text.substr(1) : "-" + text;
}

std::string ten_times(const std::string& text) {
  const std::size_t point = text.find('.');
  if (point == std::string::npos) return text + "0";
  if (point + 1 == text.size()) return text.substr(0, point) + "0.";
  return text.substr(0, point) + text[point + 1] + "." + text.substr(point + 2);
}

std::string without_point(const std::string& text) {
  const std::size_t point = text.find('.');
  return point == std::string::npos ? "" : text.substr(0, point) + text.substr(point + 1);
}

// A point behind the last digit that is gone, where the point is free, leaves the value as it was.
Faulty point_lost(const Day& day, Dice& dice) {
  Faulty faulty = in_file(number_slip(without_point))(day, dice);
  if (!faulty.made || !day.form.point_is_free) return faulty;
  for (std::size_t i = 0; i < faulty.set.files.size(); ++i) {
    const std::string& was = day.normal.files[i].bytes;
    const std::string& is = faulty.set.files[i].bytes;
    const auto at = std::mismatch(is.begin(), is.end(), was.begin()).second;
    if (at == was.end() || is.size() == was.size()) continue;
    faulty.same = *at == '.' && (at + 1 == was.end() || !is_digit(at[1]));
  }
  return faulty;
}

// --- whole backups ------------------------------------------------------------------------------

Faulty written(const Day& day, const Memory& memory, const std::string& serial) {
  return {day.form.write(memory, serial, day.day), day.at, true};
}

Faulty missing(const Day& day, Dice& dice) {
  Faulty faulty{day.normal, day.at, true};
  const File* gone = pick(faulty.set, dice, [](const File& file) { return !is_program_file(file); });
  if (gone == nullptr || faulty.set.files.size() == 1) return nothing();
  const std::string name = gone->name;
  std::erase_if(faulty.set.files, [&](const File& file) { return file.name == name; });
  return faulty;
}

Faulty stale(const Day& day, Dice& dice) {
  if (day.before.size() < 3) return nothing();
  Faulty faulty{day.normal, day.at, true};
  File* file = pick(faulty.set, dice, [](const File& each) { return !is_program_file(each); });
  const Set& old = day.before[dice.below(day.before.size() - 1)];
  const auto same_name = [&](const File& each) { return file != nullptr && each.name == file->name; };
  const auto was = std::find_if(old.files.begin(), old.files.end(), same_name);
  const auto last = std::find_if(day.before.back().files.begin(), day.before.back().files.end(), same_name);
  if (file == nullptr || was == old.files.end() || was->bytes == file->bytes) return nothing();
  if (last != day.before.back().files.end() && last->bytes == was->bytes)
    return nothing();  // it is as it was yesterday
  file->bytes = was->bytes;
  return faulty;
}

Faulty hidden(const Day& day, Dice&) {
  Memory memory = day.memory;
  std::erase_if(memory.programs, [](const auto& each) { return each.first <= last_guarded; });
  return written(day, memory, day.serial);
}

Faulty one_table_zero(const Day& day, Dice& dice) {
  Memory memory = day.memory;
  switch (dice.below(4)) {
    case 0:
      for (auto& [number, tool] : memory.tools) tool = {0, 0, tool.note};
      break;
    case 1:
      for (auto& [number, value] : memory.variables) value = 0;
      break;
    case 2:
      for (auto& [name, axes] : memory.work) axes = {0, 0, 0};
      break;
    default:
      for (auto& [number, value] : memory.parameters) value = 0;
  }
  return written(day, memory, day.serial);
}

Faulty dead_battery(const Day& day, Dice&) {
  Memory memory = day.memory;
  for (auto& [number, tool] : memory.tools) tool = {0, 0, ""};
  for (auto& [number, value] : memory.variables) value = 0;
  for (auto& [name, axes] : memory.work) axes = {0, 0, 0};
  for (auto& [number, value] : memory.parameters) value = 0;
  for (auto& [number, value] : memory.settings) value = 0;
  memory.programs.clear();
  return written(day, memory, day.serial);
}

Faulty own_changed(const Day& day, Dice& dice) {
  Memory memory = day.memory;
  memory.parameters[first_own + static_cast<int>(dice.below(2))] += dice.between(1, 50);
  return written(day, memory, day.serial);
}

// The files of another machine, under this one's names where those carry a serial.
Faulty other_machine(const Day& day, Dice&) {
  Faulty faulty = written(day, day.other, day.other_serial);
  for (File& file : faulty.set.files) {
    const std::size_t at = file.name.find(day.other_serial);
    if (at != std::string::npos) file.name.replace(at, day.other_serial.size(), day.serial);
  }
  return faulty;
}

Faulty other_heading(const Day& day, Dice&) {
  Faulty faulty{day.normal, day.at, true};
  bool any = false;
  for (File& file : faulty.set.files) {
    for (std::size_t at = file.bytes.find(day.serial); at != std::string::npos;
         at = file.bytes.find(day.serial, at + 1)) {
      file.bytes.replace(at, day.serial.size(), day.other_serial);
      any = true;
    }
  }
  return any ? faulty : nothing();
}

Faulty other_name(const Day& day, Dice&) {
  Faulty faulty{day.normal, day.at, true};
  bool any = false;
  for (File& file : faulty.set.files) {
    const std::size_t at = file.name.find(day.serial);
    if (at == std::string::npos) continue;
    file.name.replace(at, day.serial.size(), day.other_serial);
    any = true;
  }
  return any ? faulty : nothing();
}

Faulty rows_gone(const Day& day, Dice& dice) {
  Memory memory = day.memory;
  const std::size_t count = 2 + dice.below(4);
  const auto erase_some = [&](auto& table) {
    auto at = table.begin();
    std::advance(at, static_cast<long>(dice.below(table.size() - count)));
    for (std::size_t i = 0; i < count; ++i) at = table.erase(at);
  };
  if (dice.percent(50)) {
    erase_some(memory.variables);
  } else {
    erase_some(memory.parameters);
  }
  return written(day, memory, day.serial);
}

Faulty one_deleted(const Day& day, Dice& dice) {
  Memory memory = day.memory;
  auto at = memory.programs.upper_bound(last_guarded);
  std::advance(at, static_cast<long>(dice.below(memory.programs.size() - 4)));
  memory.programs.erase(at);
  return written(day, memory, day.serial);
}

std::function<Faulty(const Day&, Dice&)> at_time(std::function<std::int64_t(const Day&, Dice&)> time) {
  return [time = std::move(time)](const Day& day, Dice& dice) {
    return Faulty{day.normal, time(day, dice), true};
  };
}

constexpr std::int64_t one_day = 86'400;

}  // namespace

std::vector<Fault> all_faults() {
  const auto overwritten = [](std::string with) {
    return in_file([with](const Day&, File& file,
                          Dice& dice) { return overwrite(file, dice, with[dice.below(with.size())]); },
                   200);
  };
  const auto flipped = [](const Day& day, File& file, Dice& dice) {
    const std::size_t at = dice.below(file.bytes.size());
    if (!is_old_line(day, file, at)) return false;
    char& c = file.bytes[at];
    c = static_cast<char>(static_cast<unsigned char>(c) ^ (1U << dice.below(8)));
    return true;
  };
  const auto digit = [](const Day& day, File& file, Dice& dice) {
    const std::size_t at = dice.below(file.bytes.size());
    if (!is_digit(file.bytes[at]) || !is_old_line(day, file, at)) return false;
    file.bytes[at] =
        static_cast<char>('0' + (file.bytes[at] - '0' + 1 + static_cast<int>(dice.below(9))) % 10);
    return true;
  };
  return {
      {"cut at a byte", true, false, "", in_file([](const Day&, File& file, Dice& dice) {
         return cut_at(file, 1 + dice.below(file.bytes.size() - 1));
       })},
      {"cut at a line", true, false, "", in_file([](const Day&, File& file, Dice& dice) {
         const auto begins = line_begins(file.bytes);
         return !begins.empty() && cut_at(file, begins[dice.below(begins.size())]);
       })},
      {"sector of NUL", true, false, "", overwritten(std::string(1, '\0'))},
      {"sector of fill", true, false, "", overwritten("\xF6\xE5\xFF\x55\x6D")},
      {"sector of blanks", true, false, "", overwritten(" ")},
      {"hole of 512 bytes", true, false, "",
       in_file(
           [](const Day&, File& file, Dice& dice) {
             const std::size_t at = 1 + dice.below(file.bytes.size() - 514);
             file.bytes.erase(at, 512);
             return visible(file.bytes.substr(at));
           },
           700)},
      {"missing file", true, false, "", missing},
      {"empty file", true, false, "",
       in_file([](const Day&, File& file, Dice&) { return file.bytes.clear(), true; })},
      {"stale file", false, false, "a setting that was put back looks the same", stale},
      {"rows gone", false, false, "", rows_gone},
      {"another machine", true, false, "", other_machine},
      {"serial in text", true, false, "", other_heading},
      {"serial in a name", true, false, "", other_name},
      {"machine's own items", true, false, "", own_changed},
      {"clock ahead", true, false, "",
       at_time([](const Day& day, Dice& dice) { return day.at + dice.between(1, 9000) * one_day; })},
      {"clock before first", true, false, "", at_time([](const Day& day, Dice& dice) {
         return std::max<std::int64_t>(day.first - dice.between(1, 9000) * one_day, 0);
       })},
      {"clock decades off", true, false, "",
       at_time([](const Day&, Dice& dice) { return dice.percent(50) ? 315'532'800 : 2'240'611'200; })},
      {"guarded hidden", true, false, "", hidden},
      {"one table lost", true, false, "", one_table_zero},
      {"dead battery", true, false, "", dead_battery},
      {"sign flipped", false, true, "", in_file(number_slip(flip_sign))},
      {"factor of ten", false, true, "", in_file(number_slip(ten_times))},
      {"decimal point lost", false, true, "the same: `7.` to `7` where the point is free", point_lost},
      {"one wrong digit", false, false, "no file tells a wrong digit from a changed one", in_file(digit)},
      {"one flipped bit", false, false, "in a digit it is a changed value, in a comment other spelling",
       in_file(flipped)},
      {"one program deleted", false, false, "on purpose: a note", one_deleted},
  };
}

}  // namespace faults
