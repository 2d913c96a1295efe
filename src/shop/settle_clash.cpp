// Clashes that are open, and choosing one side.
#include <fmt/format.h>

#include <algorithm>

#include "keepway/text.hpp"
#include "shop/clashes.hpp"
#include "shop/main_line.hpp"

namespace keepway {
namespace {

std::vector<EditClash> clashes_at(const store::Repository& repository, const store::Oid& tip) {
  const auto text = repository.read_at(tip, std::string(clashes_path));
  return text ? parse_clashes(*text) : std::vector<EditClash>();
}

// Its row may come from anybody: no path but that of an owner's file is followed.
bool is_owners_file(const std::string& file) {
  return !file.empty() && file.find_first_of("/\\") == std::string::npos && file.front() != '.' &&
         file != clashes_path;
}

// Of what is in force; a person who edited the thing since has chosen.
std::string in_force(const store::Repository& repository, const store::Oid& tip, const EditClash& clash) {
  if (clash.key.empty()) return repository.id_at(tip, clash.file).value_or("");
  return said_in(clash.file, repository.read_at(tip, clash.file).value_or(""), clash.key);
}

bool is_open(const store::Repository& repository, const store::Oid& tip, const EditClash& clash) {
  if (!is_owners_file(clash.file)) return false;
  try {
    return in_force(repository, tip, clash) == clash.kept;
  } catch (const Error& error) {
    if (error.kind() != ErrorKind::input) throw;
    return true;
  }
}

// The blob that a row names, if it is one that this machine's file had: an id may be typed by anybody.
std::string stored_text(const store::Repository& repository, const EditClash& clash) {
  const auto refuse = [&] {
    return Error(ErrorKind::input, fmt::format("the other {} is not stored here", escape(clash.file)),
                 "choose what is kept, and edit the file", Place{std::string(clashes_path)});
  };
  const bool hex =
      clash.other.size() == 40 && clash.other.find_first_not_of("0123456789abcdef") == std::string::npos;
  if (!hex || !repository.has(clash.other)) throw refuse();
  return repository.read(clash.other);
}

void require_not_needed(const std::string& file) {
  if (file != "machine.toml" && file != "layout.toml") return;
  throw Error(ErrorKind::input, fmt::format("a machine needs its {}, which the other PC has not", file),
              "choose what is kept", Place{std::string(clashes_path)});
}

void require_readable(const std::string& file, const std::string& text) {
  if (file == "machine.toml") (void)parse_machine_toml(text, file);
  if (file == "layout.toml") (void)parse_layout(text, file);
  if (file == "namebook.tsv") (void)Namebook::parse(text, file);
}

}  // namespace

std::vector<EditClash> open_clashes(const store::Repository& repository) {
  const auto tip = main_tip(repository);
  if (!tip) return {};
  std::vector<EditClash> clashes = clashes_at(repository, *tip);
  std::erase_if(clashes, [&](const EditClash& each) { return !is_open(repository, *tip, each); });
  return clashes;
}

EditClash choose(Machine& machine, const Choice& choice) {
  store::Repository& repository = machine.repository();
  std::vector<EditClash> left = open_clashes(repository);
  const std::string& name = machine.facts().name;
  if (choice.place >= left.size()) {
    throw Error(ErrorKind::usage,
                fmt::format("{} has no clash {}; there {} {}", name, choice.place + 1,
                            left.size() == 1 ? "is" : "are", left.size()),
                fmt::format("see them first: keepway clashes {}", name));
  }
  const std::string line = main_line(repository);
  const store::Oid tip = main_tip(repository).value();
  EditClash clash = left[choice.place];
  left.erase(left.begin() + static_cast<std::ptrdiff_t>(choice.place));
  const std::string present = repository.read_at(tip, clash.file).value_or("");
  if (line == repository.line() && repository.working_file(clash.file).value_or("") != present) {
    throw Error(ErrorKind::refused,
                fmt::format("{} was edited here, and is not stored yet", escape(clash.file)),
                "sync, or take a backup in: either stores the edit; then choose");
  }
  std::vector<std::string> removed;
  std::vector<store::TreeFile> files;  // of the texts
  std::string text;
  std::string rest;
  if (choice.other && clash.key.empty() && clash.other.empty()) {
    require_not_needed(clash.file);
    removed.push_back(clash.file);
  } else if (choice.other) {
    text = clash.key.empty() ? stored_text(repository, clash)
                             : with_said(clash.file, present, clash.key, clash.other);
    require_readable(clash.file, text);
    files.push_back({clash.file, text});
  }
  if (left.empty()) {
    removed.emplace_back(clashes_path);
  } else {
    rest = write_clashes(left);
    files.push_back({std::string(clashes_path), rest});
  }
  store::NewCommit commit;
  commit.summary =
      fmt::format("{} {}: {}", escape(clash.file), escape(clash.key),
                  choice.other ? "the other of two edits is taken" : "the edit in force is kept");
  commit.author = choice.by;
  commit.at = commit.taken = choice.now;
  commit.onto = tip;
  repository.add(line, removed, files, commit);
  return clash;
}

}  // namespace keepway
