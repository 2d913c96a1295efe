// Reasons that a person accepted before: they are kept apart, and make nothing doubtful. That a backup may be
// another machine's, or an old one, is accepted for that one backup alone: otherwise the next wrong
// stick would be good.
#pragma once

#include "verdict/case.hpp"

namespace keepway::verdict {

// What a reason is about, whatever else moves: its spot, else its file, else nothing but its code.
std::string spot_of(const Reason& reason);
// Notes all doubts and refusals of `verdict.reasons` in `verdict.present`, and takes those that are known out
// into `verdict.as_before`. Of one code, reasons beyond a bound are noted as one, by a digest of their spots.
void set_known_apart(const std::vector<KnownReason>& known, Verdict& verdict);
// Of one code the first reasons stay, the rest are counted: a hostile or hopeless backup must not bury the
// others, nor fill its commit with thousands of lines.
void shorten(Reasons& reasons);

}  // namespace keepway::verdict
