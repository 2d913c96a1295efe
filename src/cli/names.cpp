#include <fmt/format.h>

#include <memory>

#include "cli/acts.hpp"
#include "cli/owner_file.hpp"

namespace keepway::cli {
namespace {

constexpr const char* book_file = "namebook.tsv";

struct NamesOptions : NameWords {
  std::string machine;
  std::string file;
};
using SharedNamesOptions = std::shared_ptr<NamesOptions>;

Machine open(const Globals& globals, const SharedNamesOptions& options) {
  return open_shop(globals).machine(options->machine);
}

std::optional<Decimal> number(const std::string& text, const char* option) {
  if (text.empty()) return std::nullopt;
  if (auto value = Decimal::parse(text)) return value;
  throw Error(ErrorKind::usage, fmt::format("{} '{}' is not a number", option, escape(text)),
              "write a plain decimal number, as in -0.25, or \"\" for none");
}

std::vector<Meaning> meanings(std::string_view text) {
  std::vector<Meaning> found;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(';'), text.size());
    const std::string_view part = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::size_t equals = part.find('=');
    if (equals == std::string_view::npos) {
      throw Error(ErrorKind::usage, fmt::format("--meaning '{}' has no '='", escape(part)),
                  "write value=meaning, separated by ';', as in --meaning \"0=door;1=coolant\"");
    }
    found.push_back({std::string(part.substr(0, equals)), std::string(part.substr(equals + 1))});
  }
  return found;
}

Kind kind_of(const std::string& text) {
  if (const auto kind = parse_kind(text)) return *kind;
  throw Error(ErrorKind::usage, fmt::format("'{}' is no kind", escape(text)),
              "write number, yesno, bits, binary, choice or text");
}

void apply(const NameWords& options, Entry& entry) {
  if (options.name) entry.name = *options.name;
  if (options.unit) entry.unit = *options.unit;
  if (options.kind) entry.kind = kind_of(*options.kind);
  if (options.min) entry.min = number(*options.min, "--min");
  if (options.max) entry.max = number(*options.max, "--max");
  if (options.step) entry.step = number(*options.step, "--step");
  if (options.meaning) entry.meanings = meanings(*options.meaning);
  if (options.normal) entry.default_value = options.normal->empty() ? "0" : *options.normal;
  if (options.caution) entry.caution = *options.caution;
  if (options.living) entry.living = *options.living;
  if (options.own) entry.own = *options.own;
  if (options.power_cycle) entry.power_cycle = *options.power_cycle;
}

Entry entry_at(const Namebook& book, const std::string& address) {
  for (const Entry& entry : book.entries()) {
    if (entry.address == address) return entry;
  }
  Entry made;
  made.address = address;
  return made;
}

bool says_the_same(const Entry& a, const Entry& b) {
  return Namebook::of({a}).write() == Namebook::of({b}).write();
}

// A name may be typed before the first backup that has the item, or for one that was mistyped.
std::string unknown_text(const Machine& machine, const Address& address) {
  if (may_be_known(machine, address)) return "";
  const Error unknown = no_such_item(machine, address);
  return fmt::format("keepway: {}; its name is kept\n  what to do: {}\n", unknown.what(), unknown.remedy());
}

Done take_out(const Machine& machine, const std::string& address) {
  edit_owner_file(machine, book_file, [&](const std::string& book) {
    if (auto without = remove_entry(book, book_file, address)) return std::move(*without);
    throw Error(ErrorKind::usage,
                fmt::format("the namebook of {} has no {}", machine.facts().name, escape(address)),
                fmt::format("see what it has: keepway names {} export", machine.facts().name));
  });
  return {show::done(
      fmt::format("{} was removed from the namebook of {}.\n", escape(address), machine.facts().name),
      {{"command", "names"}, {"machine", machine.facts().name}, {"removed", escape(address)}})};
}

void add_flag(Command made, const std::string& names, std::optional<bool>& into, const std::string& what) {
  made->add_flag_callback(
      "--" + names, [&into] { into = true; }, what);
  made->add_flag_callback(
      "--not-" + names, [&into] { into = false; }, "Take that back");
}

void add_edit(Command names, Globals& globals, const SharedNamesOptions& options) {
  Command made =
      command(names, "edit", "Set what the namebook says about one address; the rest is left as it is",
              "keepway names mill-1 edit parameters/12 --name \"X screw lead\" --unit length --step "
              "0.0001 --machine-own\n  keepway names mill-1 edit parameters/40 --name Doors --kind bits "
              "--meaning \"0=front;1=rear\"");
  made->add_option("ADDRESS", options->address, "The item; a * stands for one part of it")->required();
  const auto text = [&](const std::string& name, std::optional<std::string>& into, const std::string& what) {
    return made->add_option(name, into, what);
  };
  text("--name", options->name, "Its name")->type_name("TEXT");
  text("--unit", options->unit, "'length' for the machine's own, else any")->type_name("TEXT");
  text("--kind", options->kind, "How it is shown")
      ->one_of({"number", "yesno", "bits", "binary", "choice", "text"})
      ->type_name("KIND");
  text("--min", options->min, "Its lower limit; \"\" for none")->type_name("N");
  text("--max", options->max, "Its upper limit")->type_name("N");
  text("--step", options->step, "The largest change that passes without a warning")->type_name("N");
  text("--meaning", options->meaning, "Of bits or choices: \"0=door;1=coolant\"")->type_name("LIST");
  text("--default", options->normal, "Its value when the control has lost its memory")->type_name("VALUE");
  text("--caution", options->caution, "What to watch for when it changes")->type_name("TEXT");
  add_flag(made, "living", options->living, "It changes by itself from backup to backup");
  add_flag(made, "machine-own", options->own, "It belongs to this one machine");
  add_flag(made, "power-cycle", options->power_cycle, "It takes effect after the power was off");
  made->add_flag("--remove", options->remove, "Take the address out of the namebook");
  made->callback(
      [&globals, options] { finish(globals, name_item(open(globals, options), *options, style(globals))); });
}

void add_import(Command names, Globals& globals, const SharedNamesOptions& options) {
  Command made = command(names, "import", "Take names from a spreadsheet's CSV file, each at its address",
                         "keepway names mill-1 import names.csv");
  made->add_option(
          "FILE", options->file,
          "Separated by commas or semicolons; its first line names the columns, as export writes them")
      ->required();
  made->callback([&globals, options] {
    const Machine machine = open(globals, options);
    const auto entries = read_namebook_csv(read_given_file(options->file), options->file);
    const bool changed = edit_owner_file(
        machine, book_file, [&](const std::string& book) { return set_entries(book, book_file, entries); });
    print(globals, show::done(fmt::format("{} {} read; the namebook of {} {}.\n", entries.size(),
                                          entries.size() == 1 ? "row" : "rows", machine.facts().name,
                                          changed ? "is changed" : "says the same already"),
                              {{"command", "names"},
                               {"machine", machine.facts().name},
                               {"rows", entries.size()},
                               {"changed", changed ? "yes" : "no"}}));
  });
}

void add_export(Command names, Globals& globals, const SharedNamesOptions& options) {
  Command made = command(names, "export", "Write the namebook as CSV, for a spreadsheet",
                         "keepway names mill-1 export > names.csv");
  made->callback([&globals, options] {
    const Machine machine = open(globals, options);
    show::Answer answer = show::names(context(globals, machine), machine.namebook().entries());
    answer.text = namebook_csv(machine.namebook());
    print(globals, answer);
  });
}

void add_missing(Command names, Globals& globals, const SharedNamesOptions& options) {
  Command made = command(names, "missing", "List items without a name, those that changed most first",
                         "keepway names mill-1 missing");
  made->callback([&globals, options] {
    const Machine machine = open(globals, options);
    const std::vector<Unnamed> items = unnamed_items(machine);
    print(globals, show::unnamed(context(globals, machine), items));
    if (!items.empty()) globals.exit = Exit::look;
  });
}

}  // namespace

Done name_item(const Machine& machine, const NameWords& words, show::Style style) {
  const std::string address = address_option(machine, words.address).text();
  if (words.remove) return take_out(machine, address);
  const Address item = Address::parse(address);
  Entry entry;
  edit_owner_file(machine, book_file, [&](const std::string& book) {
    const Entry was = entry_at(Namebook::parse(book, book_file), address);
    entry = was;
    apply(words, entry);
    if (entry.min && entry.max && *entry.max < *entry.min) {
      throw Error(ErrorKind::usage,
                  fmt::format("the lower limit {} of {} would lie above the upper one, {}", entry.min->text(),
                              escape(address), entry.max->text()),
                  "give --min and --max the other way round, or take one out with \"\"");
    }
    return says_the_same(entry, was) ? book : set_entries(book, book_file, {entry});
  });
  // What counts: a pattern says what the row leaves open.
  const auto whole =
      Namebook::parse(read_owner_file(machine, book_file), book_file).find(item.group, item.key);
  return {show::names({machine.facts(), machine.namebook(), style}, {whole.value_or(entry)}), Exit::done,
          unknown_text(machine, item)};
}

void add_names(Command app, Globals& globals) {
  auto options = std::make_shared<NamesOptions>();
  Command made = command(
      app, "names", "The namebook: set, import, export names, units, limits; list items without a name",
      "keepway names mill-1 missing\n  keepway names mill-1 edit variables/40 --name \"Parts "
      "made\" --living\n  keepway names mill-1 export > names.csv");
  made->add_option("MACHINE", options->machine, "The machine")->required();
  made->require_subcommand(1);
  add_edit(made, globals, options);
  add_import(made, globals, options);
  add_export(made, globals, options);
  add_missing(made, globals, options);
}

}  // namespace keepway::cli
