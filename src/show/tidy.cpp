#include <fmt/format.h>

#include "show/text.hpp"

namespace keepway::show {
namespace {

std::string megabytes(std::uint64_t bytes) {
  return fmt::format("{:.2f} MB", static_cast<double>(bytes) / 1e6);
}

}  // namespace

Answer tidied(const std::vector<TidiedMachine>& machines, const std::vector<Failure>& failures) {
  std::string text;
  std::vector<std::pair<std::string, Fact>> facts = {{"command", "tidy"}};
  for (const auto& [machine, tidied, rebuilt] : machines) {
    text += fmt::format("{}  {} in {} and {}, now {} in {}\n", escape(machine),
                        megabytes(tidied.bytes_before), count_of(tidied.packs_before, "pack", "packs"),
                        count_of(tidied.loose, "loose object", "loose objects"),
                        megabytes(tidied.bytes_after), count_of(tidied.packs_after, "pack", "packs"));
    if (rebuilt > 0)
      text += fmt::format("  {} made again from {}: it was damaged or gone\n",
                          count_of(rebuilt, "index", "indexes"), rebuilt == 1 ? "its pack" : "their packs");
    const std::string prefix = machines.size() + failures.size() > 1 ? escape(machine) + "." : "";
    facts.emplace_back(prefix + "bytes_before", tidied.bytes_before);
    facts.emplace_back(prefix + "bytes_after", tidied.bytes_after);
    facts.emplace_back(prefix + "indexes_rebuilt", std::uint64_t{rebuilt});
  }
  return done(text, facts, failures);
}

}  // namespace keepway::show
