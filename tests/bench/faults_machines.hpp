// Invented machines whose memory lives through a year: what each writes as its backup of a day. None was ever
// built; the layouts are their owners'.
#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "keepway/media.hpp"

namespace faults {

// The same on every run.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : random_(seed) {}
  std::size_t below(std::size_t bound) {
    return bound == 0 ? 0 : static_cast<std::size_t>(random_() % bound);
  }
  long between(long low, long high) {
    return low + static_cast<long>(below(static_cast<std::size_t>(high - low + 1)));
  }
  bool percent(std::size_t share) { return below(100) < share; }

 private:
  std::mt19937_64 random_;
};

// What a machine holds, before any form: amounts in ten-thousandths.
struct Memory {
  struct Tool {
    long length = 0;
    long diameter = 0;
    std::string note;
  };
  std::map<int, long> parameters;  // whole numbers
  std::map<int, long> settings;
  std::map<int, Tool> tools;
  std::map<std::string, std::array<long, 3>> work;   // G54: X Y Z
  std::map<int, long> variables;                     // 300 counts parts
  std::map<int, std::vector<std::string>> programs;  // lines, the end among them
};

// How a machine writes its memory.
struct Form {
  std::string name;
  std::string layout;
  std::string namebook;
  bool tools_come_and_go = false;
  bool point_is_free = false;  // by its layout a number is the same with and without a point behind it
  keepway::media::Set (*write)(const Memory& memory, const std::string& serial,
                               const std::string& day) = nullptr;
};
const std::vector<Form>& forms();

Memory new_memory(Dice& dice);
// One day of work: parts are made, tools wear, now and then a job is set up and a program edited.
void live(Memory& memory, const Form& form, Dice& dice);

// Programs that a guard hides.
inline constexpr int first_guarded = 700;
inline constexpr int last_guarded = 799;
// Parameters that belong to one machine by the namebook.
inline constexpr int first_own = 60;

}  // namespace faults
