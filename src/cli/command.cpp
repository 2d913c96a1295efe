#include "cli/command.hpp"

#include <fmt/format.h>
#include <pwd.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <utility>

#include "cli/acts.hpp"
#include "cli/progress.hpp"
#include "cli/terminal.hpp"
#include "keepway/text.hpp"

namespace keepway::cli {

Shop open_shop(const Globals& globals) {
  if (!globals.shop.empty()) return Shop::open(globals.shop);
  if (const char* named = std::getenv("KEEPWAY_SHOP"); named != nullptr && *named != '\0')
    return Shop::open(named);
  if (const auto found = Shop::nearest(std::filesystem::current_path())) return Shop::open(*found);
  throw Error(
      ErrorKind::usage, "no shop is named, and neither this folder nor one above it is a shop",
      "go into the shop's folder, name it with --shop DIR or $KEEPWAY_SHOP, or make one: keepway init DIR");
}

Backup backup_at(const Machine& machine, const std::string& when) {
  if (!when.empty()) return machine.resolve(when);
  if (auto newest = machine.newest()) return std::move(*newest);
  if (machine.latest()) {
    throw Error(ErrorKind::usage, fmt::format("{} has no backup on main that counts", machine.facts().name),
                fmt::format("name one with --at; they are in 'keepway history {}'", machine.facts().name));
  }
  throw machine.no_backup();
}

show::Beside beside(const Machine& machine, const std::string& when) {
  constexpr std::size_t most_listed = 8;
  if (!when.empty()) return {};
  return {machine.last_good(), machine.passed_over(most_listed),
          trial_of_line(machine.repository().line()).value_or("")};
}

show::Style style(const Globals& globals) {
  const char* no_color = std::getenv("NO_COLOR");
  const char* term = std::getenv("TERM");
  const bool unwanted = globals.no_color || globals.json || (no_color != nullptr && *no_color != '\0') ||
                        (term != nullptr && std::string_view(term) == "dumb");
  return {!unwanted && ::isatty(STDOUT_FILENO) == 1, globals.json};
}

show::Context context(const Machine& machine, show::Style style) {
  show::Context context{machine.facts(), machine.namebook(), style};
  if (!style.pages) return context;
  if (const auto good = machine.last_good())
    context.precision = std::make_shared<Precision>(machine.precision(good->commit));
  return context;
}

show::Context context(const Globals& globals, const Machine& machine) {
  return context(machine, style(globals));
}

void print(const Globals& globals, const show::Answer& answer) {
  Progress::stop();
  const std::string out = globals.json ? terminal_json(show::with_lost(answer.json, globals.lost->list()))
                                       : terminal_text(answer.text);
  if (std::fwrite(out.data(), 1, out.size(), stdout) != out.size() || std::fflush(stdout) != 0) {
    throw Error(ErrorKind::store, "the answer could not be written to standard output",
                "check where the output goes");
  }
}

void finish(Globals& globals, const Done& done) {
  Progress::stop();
  if (!done.beside.empty()) put(stderr, done.beside);
  print(globals, done.answer);
  globals.exit = done.exit;
}

std::vector<show::Failure> for_each_machine(Globals& globals, const std::vector<std::string>& names, bool all,
                                            const std::function<void(const std::string& name)>& work) {
  std::vector<show::Failure> failures;
  for (const std::string& name : names) {
    try {
      work(name);
    } catch (const Error& error) {
      if (!all) throw;
      failures.push_back({name, error});
      globals.exit = std::max(globals.exit, exit_of(error.kind()));
    }
  }
  return failures;
}

void print_failures(const std::vector<show::Failure>& failures) {
  for (const auto& [machine, error] : failures) print_error(error, escape(machine) + ": ");
}

std::string error_text(const Error& error, const std::string& of) {
  std::string text = fmt::format("keepway: {}{}\n", of, error.message());
  if (!error.remedy().empty()) text += fmt::format("  what to do: {}\n", error.remedy());
  return text;
}

Error error_of(const store::Repository::Loss& loss) {
  const std::string machine = escape(loss.folder.filename().string());
  return {ErrorKind::store, fmt::format("{}: {}", machine, loss.what),
          fmt::format("see what it touches, and what can still be had: keepway audit {}", machine)};
}

void print_error(const Error& error, const std::string& of) {
  put(stderr, error_text(error, of));  // where that fails too, the exit code still tells
}

std::int64_t now() {
  return static_cast<std::int64_t>(std::time(nullptr));
}

std::string who() {
  if (const char* user = std::getenv("USER"); user != nullptr && *user != '\0') return user;
  const passwd* entry = ::getpwuid(::getuid());
  return entry != nullptr && entry->pw_name != nullptr ? entry->pw_name : "unknown";
}

std::int64_t time_option(const std::string& text) {
  refuse_ambiguous_date(text);
  const auto at = parse_time(text, false);
  if (!at) {
    throw Error(ErrorKind::usage, fmt::format("'{}' is not a time", escape(text)),
                "write a date as 2026-03-01 or 1.3.2026, or a time as 2026-03-01T06:30:00Z");
  }
  return *at;
}

namespace {

std::string_view without_slash(std::string_view text) {
  while (text.size() > 1 && text.back() == '/') text.remove_suffix(1);
  return text;
}

// The one item that a part of a name means, as for 'when'.
Address named_address(const Machine& machine, std::string_view text, const Error& no_address) {
  std::vector<Address> hits = machine.search(std::string(text));
  if (hits.empty()) hits = machine.loosely_named(text);
  if (hits.empty()) throw no_address;
  if (hits.size() == 1) return hits.front();
  constexpr std::size_t max_listed = 6;
  std::vector<std::string> list;
  for (std::size_t i = 0; i < std::min(max_listed, hits.size()); ++i) list.push_back(escape(hits[i].text()));
  throw Error(ErrorKind::usage,
              fmt::format("'{}' occurs in the names of {} items", escape(std::string(text)), hits.size()),
              fmt::format("name one by its address: {}{}", fmt::join(list, ", "),
                          hits.size() > max_listed ? " …" : ""));
}

// As typed. Error{usage} for a text that is no address.
Address parsed_address(const Machine& machine, std::string_view text) {
  Address address = Address::parse(text);
  const bool digits =
      !address.key.empty() && address.key.find_first_not_of("0123456789") == std::string::npos;
  if (address.group == Group::programs && digits) {
    const auto newest = machine.latest();
    const bool named = newest && machine.repository().id_at(newest->commit, program_path(address.key));
    if (!named) address.key = program_name(address.key);
  }
  return address;
}

}  // namespace

std::optional<Address> typed_address(const Machine& machine, std::string_view text) {
  try {
    return parsed_address(machine, without_slash(text));
  } catch (const Error&) {
    return std::nullopt;
  }
}

bool may_be_known(const Machine& machine, const Address& address) {
  return address.key.find('*') != std::string::npos || !machine.latest() ||
         !machine.search(address.text()).empty();
}

Address as_the_reader_spells(const Machine& machine, const Address& address) {
  const auto key_of = [](const std::string& text) {
    std::string key;
    const std::string plain = lower(in_ascii(text));
    return append_natural_key(plain, key) ? key : plain;
  };
  for (const Address& near : machine.near(address)) {
    if (near.group != address.group || key_of(near.key) != key_of(address.key)) continue;
    put(stderr, fmt::format("keepway: {} is taken as {}\n", escape(address.text()), escape(near.text())));
    return near;
  }
  return address;
}

Address address_option(const Machine& machine, std::string_view text) {
  text = without_slash(text);
  std::optional<Address> address;
  try {
    address = parsed_address(machine, text);
  } catch (const Error& error) {
    return named_address(machine, text, error);
  }
  const bool known = address->key.empty() || may_be_known(machine, *address);
  return known ? *address : as_the_reader_spells(machine, *address);
}

std::vector<Address> addresses_option(const Machine& machine, const std::vector<std::string>& texts) {
  std::vector<Address> addresses;
  addresses.reserve(texts.size());
  for (const std::string& text : texts) addresses.push_back(address_option(machine, text));
  return addresses;
}

Error no_such_item(const Machine& machine, const Address& address) {
  std::vector<std::string> near;
  for (const Address& each : machine.near(address)) {
    if (each.text() != address.text()) near.push_back(escape(each.text()));
  }
  return {ErrorKind::usage,
          fmt::format("no backup of {} has an item {}", machine.facts().name, escape(address.text())),
          near.empty() ? fmt::format("list the group: keepway show {} {}", machine.facts().name,
                                     group_name(address.group))
                       : fmt::format("did you mean {}?", fmt::join(near, ", "))};
}

}  // namespace keepway::cli
