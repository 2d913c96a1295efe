#include "shop/clashes.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <tuple>

#include "keepway/text.hpp"
#include "shop/known_reasons.hpp"
#include "shop/machine_toml.hpp"

namespace keepway {
namespace {

constexpr std::string_view clash_heading = "file\tkey\tkept\tother\n";
constexpr std::size_t clash_columns = 4;
constexpr std::size_t most_clashes = 10'000;  // our own bound

[[noreturn]] void broken_clashes(std::uint64_t line) {
  throw Error(ErrorKind::input, "is not as keepway writes it",
              "bring the file back from the last commit that has it right: git log -- clashes.tsv",
              Place{std::string(clashes_path), line});
}

bool is_of_one(const EditClash& a, const EditClash& b) {
  return a.file == b.file && a.key == b.key;
}

bool has(const std::vector<EditClash>& clashes, const EditClash& clash) {
  return std::any_of(clashes.begin(), clashes.end(),
                     [&](const EditClash& each) { return is_of_one(each, clash); });
}

Joined join_names(const std::string& base, const std::string& first, const std::string& later) {
  const std::string file = "namebook.tsv";
  JoinedNames joined = join_namebooks(base, first, later, file);
  Joined out{std::move(joined.text), {}};
  for (const std::string& address : joined.clashing)
    out.clashes.push_back({file, address, said_in(file, out.text, address), said_in(file, first, address)});
  return out;
}

// One reason accepted on two PCs is no clash: both say that it is known.
Joined join_reasons(const std::string& base, const std::string& first, const std::string& later) {
  const auto read = [](const std::string& tsv) {
    return tsv.empty() ? std::vector<KnownReason>() : parse_known_reasons(tsv);
  };
  const auto has_reason = [](const std::vector<KnownReason>& in, const KnownReason& reason) {
    return std::any_of(in.begin(), in.end(), [&](const KnownReason& each) {
      return each.code == reason.code && each.spot == reason.spot;
    });
  };
  const auto was = read(base);
  const auto theirs = read(first);
  const auto ours = read(later);
  std::vector<KnownReason> out;
  for (const KnownReason& each : theirs) {
    if (has_reason(ours, each) || !has_reason(was, each)) out.push_back(each);
  }
  for (const KnownReason& each : ours) {
    if (!has_reason(was, each) && !has_reason(theirs, each)) out.push_back(each);
  }
  return {write_known_reasons(out), {}};
}

}  // namespace

std::string write_clashes(std::vector<EditClash> clashes) {
  std::sort(clashes.begin(), clashes.end(), [](const EditClash& a, const EditClash& b) {
    return std::tie(a.file, a.key) < std::tie(b.file, b.key);
  });
  std::string out(clash_heading);
  for (const EditClash& each : clashes)
    out += fmt::format("{}\t{}\t{}\t{}\n", escape(each.file), escape(each.key), escape(each.kept),
                       escape(each.other));
  return out;
}

std::vector<EditClash> parse_clashes(std::string_view tsv) {
  if (!tsv.starts_with(clash_heading)) broken_clashes(1);
  std::vector<EditClash> clashes;
  std::uint64_t line = 1;
  for (std::size_t at = clash_heading.size(); at < tsv.size();) {
    ++line;
    const std::size_t end = tsv.find('\n', at);
    if (end == std::string_view::npos || clashes.size() == most_clashes) broken_clashes(line);
    std::array<std::string, clash_columns> cells;
    for (std::size_t i = 0; i < clash_columns; ++i) {
      const std::size_t stop = std::min(tsv.find(i + 1 < clash_columns ? '\t' : '\n', at), end);
      const std::string_view cell_text = tsv.substr(at, stop - at);
      auto cell = unescape(cell_text);
      if (!cell || cell_text.find('\t') != std::string_view::npos || (i + 1 < clash_columns && stop == end))
        broken_clashes(line);
      cells[i] = std::move(*cell);
      at = stop + 1;
    }
    clashes.push_back({std::move(cells[0]), std::move(cells[1]), std::move(cells[2]), std::move(cells[3])});
    at = end + 1;
  }
  return clashes;
}

std::string said_in(const std::string& file, std::string_view text, const std::string& key) {
  if (file == "machine.toml") return fact_text(text, file, key);
  const Namebook book = Namebook::parse(text, file);
  for (const Entry& entry : book.entries()) {
    if (entry.address == key) return Namebook::of({entry}).write();
  }
  return "";
}

std::string with_said(const std::string& file, const std::string& text, const std::string& key,
                      const std::string& said) {
  if (file == "machine.toml") return set_fact(text, file, key, said);
  if (said.empty()) return remove_entry(text, file, key).value_or(text);
  const Namebook row = Namebook::parse(said, std::string(clashes_path));
  if (row.entries().size() != 1 || row.entries().front().address != key) {
    throw Error(ErrorKind::input, fmt::format("holds no row for {}", escape(key)),
                "choose what is kept, and edit the namebook", Place{std::string(clashes_path)});
  }
  return set_entries(text, file, row.entries());
}

std::optional<Joined> join_edits(const std::string& file, const std::string& base, const std::string& first,
                                 const std::string& later) {
  try {
    if (file == "namebook.tsv") return join_names(base, first, later);
    if (file == "machine.toml") return join_facts(base, first, later, file);
    if (file == reasons_path) return join_reasons(base, first, later);
  } catch (const Error&) {  // broken on one side, or not to be edited safely: the whole file is chosen
  }
  return std::nullopt;
}

std::vector<EditClash> join_clashes(const std::vector<EditClash>& base, const std::vector<EditClash>& first,
                                    const std::vector<EditClash>& later) {
  std::vector<EditClash> out;
  for (const EditClash& each : first) {
    if (has(later, each) || !has(base, each)) out.push_back(each);
  }
  for (const EditClash& each : later) {
    if (!has(base, each) && !has(first, each)) out.push_back(each);
  }
  return out;
}

}  // namespace keepway
