// Program text of any bytes: the normal form is stable, spans lie in the file, programs read back.
#include <cstdint>
#include <cstdio>
#include <cstdlib>

#include "keepway/compare.hpp"
#include "reader/parts.hpp"

namespace {

void demand(bool holds, const char* what) {
  if (holds) return;
  std::fprintf(stderr, "broken: %s\n", what);
  std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace keepway;
  if (size == 0) return 0;
  const std::uint8_t choice = data[0];
  const std::string_view text(reinterpret_cast<const char*>(data + 1), size - 1);
  Source source;
  source.comments = {"("};
  if ((choice & 1) != 0) source.comments.emplace_back(";");
  if ((choice & 2) != 0) {
    source.increment =
        Increment{Decimal::parse("0.0001"), Decimal::parse((choice & 4) != 0 ? "0.0005" : "0.001")};
  }
  const Units units = (choice & 8) != 0 ? Units::mm : Units::inch;
  Source plain = source;
  plain.increment.reset();

  const std::string once = normal_program(text, source, units);
  demand(normal_program(once, plain, units) == once, "the normal form of a normal form is itself");

  constexpr std::uint64_t base = 100;
  reader::Output output;
  reader::read_blocks({0, "f.nc", text, base, 1, source, 0, units}, output);
  auto inside = [&](const Span& span) {
    return span.at >= base && span.length <= text.size() && span.at - base <= text.size() - span.length;
  };
  for (const reader::RawProgram& program : output.programs) {
    demand(inside(program.facts.span), "a program lies in its file");
    for (const Span& call : program.facts.call_spans) demand(inside(call), "a call lies in its file");
    demand(program.facts.calls.size() == program.facts.call_spans.size(), "each call has a span");
    reader::Output again;
    reader::read_blocks({0, program.facts.name, program.text, 0, 1, plain, 0, units}, again);
    demand(program.text.empty() || (again.programs.size() == 1 && again.programs[0].text == program.text),
           "a program's text reads to the same program");
  }
  for (const reader::Unread& row : output.unread) {
    demand(inside(row.span) && text.substr(row.span.at - base, row.span.length) == row.text,
           "an unread row is the text of its span");
  }
  for (std::size_t i = 1; i < output.programs.size(); ++i) {
    (void)compare_programs(output.programs[i - 1].text, output.programs[i].text);
  }
  return 0;
}
