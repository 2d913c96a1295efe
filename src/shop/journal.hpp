// A step that takes several refs is written down before it begins, so that a program cut off in the
// middle is finished by the next one. One step at a time: the file is .git/keepway/step.
#pragma once

#include <optional>
#include <string>

#include "keepway/store.hpp"

namespace keepway {

struct Step {
  std::string kind;   // "begin", "keep", "drop"
  std::string name;   // of the trial
  store::Oid commit;  // begin: what it begins from; keep and drop: the trial's tip
  std::string by;
  std::string note;
  std::int64_t now = 0;
};

void write_step(const store::Repository& repository, const Step& step);
// nullopt when there is none, or when what is there is no whole step (it had not begun, then).
std::optional<Step> read_step(const store::Repository& repository);
void clear_step(const store::Repository& repository);

// Whoever runs a step holds this, so that a program that opens the machine meanwhile does not take the step
// for one that was cut off. It is the kernel's (flock): it dies with its holder.
class StepClaim {
 public:
  explicit StepClaim(const store::Repository& repository);
  StepClaim(const StepClaim&) = delete;
  StepClaim& operator=(const StepClaim&) = delete;
  StepClaim(StepClaim&&) = delete;
  StepClaim& operator=(StepClaim&&) = delete;
  ~StepClaim();

  [[nodiscard]] bool held() const { return file_ >= 0; }
  // Error{store} when another program holds it.
  void require() const;

 private:
  int file_ = -1;
};

}  // namespace keepway
