#include "shop/known_reasons.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <tuple>

#include "keepway/text.hpp"

namespace keepway {
namespace {

constexpr std::string_view heading = "code\tspot\tsince\tat\tby\twhat\n";
constexpr std::size_t columns = 6;

[[noreturn]] void broken(std::uint64_t line) {
  throw Error(ErrorKind::input, "is not as keepway writes it",
              "bring the file back from the last backup that has it right: git log -- reasons.tsv",
              Place{std::string(reasons_path), line});
}

std::string text_in(std::string_view cell, std::uint64_t line) {
  auto text = unescape(cell);
  if (!text) broken(line);
  return std::move(*text);
}

template <typename Number>
Number number_in(std::string_view cell, std::uint64_t line) {
  Number value{};
  const auto [end, failed] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  if (failed != std::errc{} || end != cell.data() + cell.size() || value < 0) broken(line);
  return value;
}

KnownReason row_in(std::string_view text, std::uint64_t line) {
  std::array<std::string_view, columns> cells;
  for (std::size_t i = 0; i < columns; ++i) {
    const std::size_t end = i + 1 < columns ? text.find('\t') : text.size();
    if (end == std::string_view::npos) broken(line);
    cells[i] = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return {text_in(cells[0], line),        text_in(cells[1], line),
          number_in<int>(cells[2], line), number_in<std::int64_t>(cells[3], line),
          text_in(cells[4], line),        text_in(cells[5], line)};
}

}  // namespace

std::string write_known_reasons(const std::vector<KnownReason>& reasons) {
  std::vector<const KnownReason*> sorted;
  sorted.reserve(reasons.size());
  for (const KnownReason& each : reasons) sorted.push_back(&each);
  std::sort(sorted.begin(), sorted.end(), [](const KnownReason* a, const KnownReason* b) {
    return std::tie(a->code, a->spot) < std::tie(b->code, b->spot);
  });
  std::string out(heading);
  for (const KnownReason* each : sorted)
    out += fmt::format("{}\t{}\t{}\t{}\t{}\t{}\n", escape(each->code), escape(each->spot), each->since,
                       each->at, escape(each->by), escape(each->what));
  return out;
}

std::vector<KnownReason> parse_known_reasons(std::string_view tsv) {
  if (!tsv.starts_with(heading)) broken(1);
  std::vector<KnownReason> reasons;
  std::uint64_t line = 1;
  for (std::size_t at = heading.size(); at < tsv.size();) {
    const std::size_t end = tsv.find('\n', at);
    if (end == std::string_view::npos) broken(line + 1);
    reasons.push_back(row_in(tsv.substr(at, end - at), ++line));
    at = end + 1;
  }
  return reasons;
}

std::vector<KnownReason> known_after(const std::vector<KnownReason>& before,
                                     const std::vector<KnownReason>& present, const Standing& standing) {
  if (standing.late || (!standing.good && !standing.accepted)) return before;
  std::vector<KnownReason> after;
  for (KnownReason each : present) {
    if (each.since == 0) {
      if (!standing.accepted) continue;
      each.since = standing.number;
      each.at = standing.at;
      each.by = standing.by;
    }
    after.push_back(std::move(each));
  }
  return after;
}

}  // namespace keepway
