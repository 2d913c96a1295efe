// The checks that make up a verdict, one file a kind. Each adds its reasons.
#pragma once

#include "keepway/verdict.hpp"

namespace keepway::verdict {

using Reasons = std::vector<Reason>;

void check_medium(const JudgeInput& input, Reasons& reasons);    // flaws, dates, names
void check_files(const JudgeInput& input, Reasons& reasons);     // missing groups, empty and unclaimed files
void check_oddities(const JudgeInput& input, Reasons& reasons);  // what the readers found
void check_programs(const JudgeInput& input, Reasons& reasons);  // calls, protected ranges
void check_tables(const JudgeInput& input, Reasons& reasons);    // counts, lost memory, limits, large steps

}  // namespace keepway::verdict
