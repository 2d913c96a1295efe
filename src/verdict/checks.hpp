// The checks that make up a verdict, one file a kind. Each adds its reasons.
#pragma once

#include "verdict/case.hpp"

namespace keepway::verdict {

void check_medium(const JudgeInput& input, Reasons& reasons);  // flaws, a full volume
void check_clock(Case& in, Reasons& reasons);                  // dated ahead, before the first, decades off
void check_files(Case& in, Reasons& reasons);                  // missing, empty and unclaimed files
void check_ends(Case& in, Reasons& reasons);                   // files cut off
void check_sectors(Case& in, Reasons& reasons);                // lost sectors: runs, holes, stray bytes
void check_joined(Case& in, Reasons& reasons);                 // two halves of programs as one
void check_stale(Case& in, Reasons& reasons);                  // files as they were in an earlier backup
void check_machine(Case& in, Reasons& reasons);                // another machine's files
void check_oddities(Case& in, Reasons& reasons);               // what the readers found
void check_headings(Case& in, Reasons& reasons);               // columns in another order, another unit
void check_form(Case& in, Reasons& reasons);                   // saved by a program of a PC
void check_programs(Case& in, Reasons& reasons);               // gone, calls, protected ranges
void check_rows(Case& in, Reasons& reasons);                   // rows gone from tables
void check_lost_memory(Case& in, Reasons& reasons);            // tables zero or default

// The one reason for what is plainly no backup, in place of all that would follow from it: what a restore put
// together, an empty medium, a floppy image or an archive inside an archive, an e-mail with an attachment,
// many backups in one folder. nullopt for anything else.
std::optional<Reason> no_backup(const JudgeInput& input);

// What to look at before the machine cuts; of the change since the baseline.
std::vector<Caution> cautions_of(Case& in);
void add_program_cautions(Case& in, std::vector<Caution>& cautions);  // of those, the programs' blocks

}  // namespace keepway::verdict
