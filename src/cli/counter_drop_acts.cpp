// What is done with a backup that was dropped: looked at, then stored, or a machine is enrolled from it.
#include <fmt/format.h>

#include "cli/acts.hpp"
#include "cli/counter_acts.hpp"
#include "cli/plain_acts.hpp"
#include "keepway/sha256.hpp"

namespace keepway::cli {
namespace {

// Who takes it in, and how.
IntakeOptions storing(const CounterWords& words) {
  IntakeOptions intake;
  intake.accept = words.is_on("accept");
  intake.by = words.text("by").empty() ? who() : words.text("by");
  intake.note = words.text("note");
  intake.now = now();
  return intake;
}

// Of all that is shown of it, of what it is compared with, and where it would go.
std::string digest_of(const Machine& machine, const Inspection& inspection) {
  const show::Context context{machine.facts(), machine.namebook(), page_style};
  return sha256_hex(machine.repository().line() + "\n" + inspection.tip + "\n" + inspection.sums.digest +
                    "\n" + show::inspection(context, inspection, nullptr, "").json +
                    show::changes_found(context, inspection).json);
}

std::string digest_of(const media::Set& set, const Proposal& proposal, const Shop::Enrollment& enrollment) {
  return sha256_hex(fmt::format("{}\n{}\n{}\n{}", set_digest(set), enrollment.serial,
                                units_name(enrollment.units.value_or(Units::inch)), proposal.survey.layout));
}

Error not_as_seen() {
  return {
      ErrorKind::refused,
      "this is no longer what was looked at: another backup came in, or the machine's layout or names were "
      "changed meanwhile; nothing was stored",
      "look at it again"};
}

nlohmann::ordered_json stored(const Done& done) {
  nlohmann::ordered_json json = page_answer(done);
  json["stored"] = json["answer"].is_object() && !json["answer"]["stored"].is_null();
  return json;
}

// What is remarkable about the medium; of its date the page says itself how another is given.
nlohmann::ordered_json with_remarks(nlohmann::ordered_json said, const IntakeWords& intake) {
  said["beside"] = intake.left_out + said["beside"].get<std::string>();
  said["other_date"] =
      intake.other_date.empty() ? nlohmann::ordered_json() : nlohmann::ordered_json(intake.other_date);
  return said;
}

// Of sources of the layout, numbered from 1 as they are shown.
std::vector<SourceEdit> edits_asked(const CounterWords& words) {
  constexpr int most_sources = 10'000;
  std::vector<SourceEdit> edits;
  for (const CounterWords& each : words.list("edits")) {
    const int source = each.number("source", most_sources);
    if (source == 0) throw CounterWords::not_understood("source");
    edits.push_back({static_cast<std::size_t>(source) - 1, each.given("group"), each.given("name"),
                     each.switched("left_out")});
  }
  return edits;
}

// Serial and units as they were entered; what is empty is looked for.
Shop::Enrollment enrollment_asked(const CounterWords& words) {
  Shop::Enrollment enrollment;
  enrollment.serial = words.text("serial");
  enrollment.units = parse_units(words.text("units"));
  return enrollment;
}

}  // namespace

nlohmann::ordered_json CounterActs::begin(const CounterWords& words) {
  return {{"exit", 0}, {"drop", drops_.begin(words.text("folder"))}};
}

nlohmann::ordered_json CounterActs::leave(const CounterWords& words) {
  const std::string id = words.text("drop");
  Drop& drop = drops_.get(id);
  if (drop.is_storing) refuse_while_going(drop.work);
  drops_.forget(id);
  return {{"exit", 0}};
}

Look CounterActs::look_asked(const CounterWords& words) {
  Look look;
  look.machine = words.text("machine");
  look.at = words.text("at");
  look.slot = static_cast<std::size_t>(words.number("slot", 100'000));
  look.recover = words.is_on("recover");
  look.now = now();
  return look;
}

nlohmann::ordered_json CounterActs::begin_look(const std::string& id, const std::string& what, Look look,
                                               const Work& work) {
  Drop& drop = drops_.get(id);
  if (drop.is_storing) refuse_while_going(drop.work);
  drop.work.stop();
  drop.is_storing = false;
  drop.look = std::move(look);
  return begin_work(drop.work, what, {{"drop", id}}, work);
}

nlohmann::ordered_json CounterActs::begin_storing(const std::string& id, const std::string& what,
                                                  const Work& work) {
  Drop& drop = drops_.get(id);
  refuse_while_going(drop.work);
  drop.is_storing = true;
  return begin_work(drop.work, what, {{"drop", id}}, work);
}

// Read once more, so that what is stored is what was seen.
nlohmann::ordered_json CounterActs::begin_storing_for(const std::string& machine, const std::string& id,
                                                      const std::string& what, const Store& store) {
  (void)looked_at(id, machine);
  return begin_storing(id, fmt::format("{} {}", what, machine),
                       [this, id, machine, &store](const OnProgress& on_progress) {
                         Machine of = live_.machine(machine);
                         const Drop& drop = drops_.get(id);
                         IntakeWords intake;
                         const Inspection inspection = look_at(drop, of, intake, on_progress);
                         if (digest_of(of, inspection) != drop.look.seen) throw not_as_seen();
                         on_progress("Storing it", 0, 0);
                         return stored(store(of, inspection, on_progress));
                       });
}

const Drop& CounterActs::looked_at(const std::string& id, const std::string& machine) {
  const Drop& drop = drops_.get(id);
  if (!drop.look.seen.empty() && drop.look.machine == machine) return drop;
  throw Error(ErrorKind::usage, "this backup has not been looked at, or for another machine since",
              "look at its verdict first");
}

media::Set CounterActs::read(const Drop& drop, IntakeWords& intake, const OnProgress& on_progress) const {
  if (drop.stick != 0) (void)sticks_.get(drop.stick);  // another one may be in its place by now
  intake.intake.on_progress = on_progress;
  intake.at = drop.look.at;
  intake.slot = drop.look.slot;
  intake.recover = drop.look.recover;
  media::Set set = received(drop.path(), intake);
  intake.intake.now = drop.look.now;
  set.source = without_folder(std::move(set.source));
  return set;
}

Inspection CounterActs::look_at(const Drop& drop, const Machine& machine, IntakeWords& intake,
                                const OnProgress& on_progress) const {
  on_progress("Reading it", 0, 0);
  media::Set set = read(drop, intake, on_progress);
  on_progress("Looking at what it says", 0, 0);
  return machine.inspect(std::move(set), intake.intake);
}

nlohmann::ordered_json CounterActs::inspect(const CounterWords& words) {
  const std::string name = words.text("machine");
  live_.check_shown(name);
  const std::string id = words.text("drop");
  return begin_look(
      id, "inspect " + name, look_asked(words), [this, id, name](const OnProgress& on_progress) {
        const Machine machine = live_.machine(name);
        IntakeWords intake;
        const Inspection inspection = look_at(drops_.get(id), machine, intake, on_progress);
        const show::Context shown = context(machine, page_style);
        Json json = with_remarks(page_answer(inspected(shown, inspection)), intake);
        json["changes"] = page_answer({show::changes_found(shown, inspection)});
        const auto there = machine.stored_already(inspection);
        json["already"] = there ? page_answer({show::stored_already(shown, *there)}) : Json(nullptr);
        json["line"] = line_title(machine.repository().line());
        json["seen"] = digest_of(machine, inspection);
        return json;
      });
}

nlohmann::ordered_json CounterActs::take(const CounterWords& words) {
  const std::string name = words.text("machine");
  live_.check_shown(name);
  const std::string id = words.text("drop");
  IntakeWords intake;
  intake.again = words.is_on("again");
  intake.intake = storing(words);
  return begin_storing_for(
      name, id, "intake", [&](Machine& machine, const Inspection& inspection, const OnProgress& on_progress) {
        intake.intake.on_progress = on_progress;
        return take_in(machine, inspection, intake, page_style);
      });
}

// Looked at first, then, with "store", stored as the proof.
nlohmann::ordered_json CounterActs::confirm(const CounterWords& words) {
  const std::string name = words.text("machine");
  live_.check_shown(name);
  const std::string id = words.text("drop");
  ConfirmWords asked;
  asked.against = words.filled("against");
  asked.only = words.texts("only");
  asked.look = !words.is_on("store");
  asked.intake = storing(words);
  if (asked.look) {
    return begin_look(id, "confirm " + name, look_asked(words),
                      [this, id, name, asked](const OnProgress& on_progress) {
                        Machine machine = live_.machine(name);
                        IntakeWords intake;
                        const Inspection inspection = look_at(drops_.get(id), machine, intake, on_progress);
                        const Done done = confirm_restore(machine, inspection, asked, page_style);
                        Json json = with_remarks(stored(done), intake);
                        json["refused"] = done.refused ? error_json(*done.refused) : Json(nullptr);
                        json["seen"] = digest_of(machine, inspection);
                        return json;
                      });
  }
  return begin_storing_for(
      name, id, "confirm",
      [&](Machine& machine, const Inspection& inspection, const OnProgress& on_progress) {
        asked.intake.on_progress = on_progress;
        return confirm_restore(machine, inspection, asked, page_style);
      });
}

nlohmann::ordered_json CounterActs::propose(const CounterWords& words) {
  const std::string id = words.text("drop");
  Look look = look_asked(words);
  look.machine.clear();
  const Shop::Enrollment asked = enrollment_asked(words);
  const std::vector<SourceEdit> edits = edits_asked(words);
  return begin_look(id, "propose", std::move(look), [this, id, asked, edits](const OnProgress& on_progress) {
    on_progress("Reading it", 0, 0);
    IntakeWords intake;
    const media::Set set = read(drops_.get(id), intake, on_progress);
    on_progress("Finding out how it is written", 0, 0);
    Shop::Enrollment enrollment = asked;
    const Proposal proposal = cli::propose(set, enrollment, on_progress, edits);
    intake.left_out += proposal.remarks;
    MachineFacts facts;
    facts.serial = enrollment.serial;
    facts.units = enrollment.units.value_or(Units::inch);
    Json json =
        with_remarks(page_answer({show::proposed(facts, proposal.survey, proposal.understood, page_style),
                                  show::all_understood(proposal.understood) ? Exit::done : Exit::look}),
                     intake);
    json["seen"] = digest_of(set, proposal, enrollment);
    return json;
  });
}

nlohmann::ordered_json CounterActs::enroll(const CounterWords& words) {
  refuse_another_machine();
  const std::string id = words.text("drop");
  (void)looked_at(id, "");
  Shop::Enrollment asked = enrollment_asked(words);
  asked.name = words.filled("name");
  asked.title = words.text("title");
  const int days = words.number("backup_every", 36'500);
  if (days > 0) asked.backup_every_days = days;
  asked.by = words.text("by").empty() ? who() : words.text("by");
  asked.now = now();
  const std::vector<SourceEdit> edits = edits_asked(words);
  return begin_storing(
      id, "enroll " + escape(asked.name), [this, id, asked, edits](const OnProgress& on_progress) {
        on_progress("Reading it", 0, 0);
        const Drop& drop = drops_.get(id);
        IntakeWords intake;
        const media::Set set = read(drop, intake, on_progress);
        Shop::Enrollment enrollment = asked;
        const Proposal proposal = cli::propose(set, enrollment, on_progress, edits);
        if (digest_of(set, proposal, enrollment) != drop.look.seen) {
          throw Error(ErrorKind::refused, "this is no longer what was looked at, and nothing was enrolled",
                      "look at it again");
        }
        on_progress("Enrolling it", 0, 0);
        Json json =
            page_answer(enroll_from(live_.shop(), proposal, enrollment, without_folder(drop.path().string()),
                                    drop.look.slot, page_style));
        json["enrolled"] = enrollment.name;
        return json;
      });
}

}  // namespace keepway::cli
