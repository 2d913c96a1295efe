#include "cli/counter_acts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <fstream>
#include <iterator>
#include <map>

#include "cli/acts.hpp"
#include "cli/plain_acts.hpp"
#include "cli/target.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;
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

}  // namespace

CounterActs::CounterActs(const Live& live) : live_(live), drops_(folder_.path()) {
  store::Repository::tell_losses([this](const store::Repository::Loss& loss) {
    const Error lost = error_of(loss);
    print_error(lost);
    losses_ += error_text(lost);
  });
}

std::string CounterActs::without_folder(std::string text) const {
  const std::string folder = folder_.path().string() + "/";
  for (std::size_t at = text.find(folder); at != std::string::npos; at = text.find(folder, at)) {
    text.erase(at, folder.size());
    // The number of the drop, and the folder of files that were dropped without one.
    std::size_t end = at;
    while (end < text.size() && text[end] >= '0' && text[end] <= '9') ++end;
    if (end > at && end < text.size() && text[end] == '/') text.erase(at, end + 1 - at);
    constexpr std::string_view loose = "dropped/";
    if (text.compare(at, loose.size(), loose) == 0) text.erase(at, loose.size());
  }
  return text;
}

std::optional<std::string> CounterActs::act(std::string_view name, const std::string& body) {
  using Own = Json (CounterActs::*)(const CounterWords&);
  static const std::map<std::string_view, Own> own = {
      {"begin", &CounterActs::begin},     {"leave", &CounterActs::leave}, {"inspect", &CounterActs::inspect},
      {"intake", &CounterActs::take},     {"plan", &CounterActs::plan},   {"restore", &CounterActs::restore},
      {"confirm", &CounterActs::confirm}, {"audit", &CounterActs::audit}, {"sync", &CounterActs::sync},
      {"work", &CounterActs::work},       {"stop", &CounterActs::stop},   {"slots", &CounterActs::slots},
  };
  if (const auto found = own.find(name); found != own.end())
    return answered([&] { return (this->*found->second)(CounterWords(body)); });
  const PlainAct plain = plain_act(name);
  if (plain == nullptr) return std::nullopt;
  return answered([&] {
    const CounterWords words(body);
    Machine machine = machine_of(words);
    return plain(machine, words);
  });
}

std::string CounterActs::put(const Request& request) {
  return answered([&]() -> Json {
    const auto number = [&](const char* name) {
      const std::string text = request.asked(name);
      std::int64_t value = 0;
      const auto [end, failed] = std::from_chars(text.data(), text.data() + text.size(), value);
      if (failed != std::errc() || end != text.data() + text.size()) throw CounterWords::not_understood(name);
      return value;
    };
    const std::int64_t at = number("at");
    if (at < 0) throw CounterWords::not_understood("at");
    drops_.put(request.asked("drop"), request.asked("name"), static_cast<std::uint64_t>(at), request.body,
               request.asked("time").empty() ? std::nullopt : std::optional(number("time")));
    return {{"exit", 0}};
  });
}

// What an act comes to, or why it cannot be done, for the page.
std::string CounterActs::answered(const std::function<Json()>& act) {
  Json json;
  losses_.clear();  // of pages that were read meanwhile
  try {
    json = act();
    if (!losses_.empty()) {
      json["beside"] = losses_ + json.value("beside", "");
      if (json["exit"] == 0) json["exit"] = static_cast<int>(Exit::look);
    }
  } catch (const Error& error) {
    json = {{"exit", static_cast<int>(exit_of(error.kind()))},
            {"error", {{"what", error.message()}, {"remedy", error.remedy()}}}};
  }
  return without_folder(json.dump(-1, ' ', true, Json::error_handler_t::replace) + "\n");
}

Machine CounterActs::machine_of(const CounterWords& words) const {
  return live_.machine(words.text("machine"));
}

nlohmann::ordered_json CounterActs::begin(const CounterWords& words) {
  return {{"exit", 0}, {"drop", drops_.begin(words.text("folder"))}};
}

nlohmann::ordered_json CounterActs::leave(const CounterWords& words) {
  drops_.forget(words.text("drop"));
  return {{"exit", 0}};
}

Inspection CounterActs::look_at(const Drop& drop, const Machine& machine, const CounterWords& words,
                                IntakeWords& intake) const {
  intake.at = words.text("at");
  intake.slot = static_cast<std::size_t>(words.number("slot", 100'000));
  intake.recover = words.is_on("recover");
  media::Set set = received(drop.path(), intake);
  set.source = without_folder(std::move(set.source));
  return machine.inspect(std::move(set), intake.intake);
}

Drop& CounterActs::looked_at(const std::string& drop, const Machine& machine) {
  Drop& found = drops_.get(drop);
  if (found.inspection && found.machine == machine.facts().name) return found;
  throw Error(ErrorKind::usage, "this backup has not been looked at, or another was since",
              "look at its verdict first");
}

// Of an image that was dropped.
nlohmann::ordered_json CounterActs::slots(const CounterWords& words) {
  const std::string path = drops_.get(words.text("drop")).path().string();
  std::vector<Machine> machines;
  for (const std::string& name : live_.machines()) machines.push_back(live_.machine(name));
  return page_answer(list_slots(path, without_folder(path), machines, page_style));
}

nlohmann::ordered_json CounterActs::inspect(const CounterWords& words) {
  const Machine machine = machine_of(words);
  Drop& drop = drops_.get(words.text("drop"));
  IntakeWords intake;
  Inspection inspection = look_at(drop, machine, words, intake);
  const show::Context context{machine.facts(), machine.namebook(), page_style};
  Done done = inspected(machine, inspection, page_style);
  done.beside.insert(0, intake.remarks);
  Json json = page_answer(done);
  json["changes"] = page_answer({show::changes_found(context, inspection)});
  const auto there = machine.stored_already(inspection);
  json["already"] = there ? Json(show::stored_already(context, *there).text) : Json(nullptr);
  drops_.hold(drop, std::move(inspection), machine.facts().name);
  return json;
}

// What was shown is what is stored: the very inspection, which lands only where nothing came in since.
nlohmann::ordered_json CounterActs::take(const CounterWords& words) {
  Machine machine = machine_of(words);
  const std::string id = words.text("drop");
  const Drop& drop = looked_at(id, machine);
  IntakeWords intake;
  intake.again = words.is_on("again");
  intake.intake = storing(words);
  const Done done = take_in(machine, *drop.inspection, intake, page_style);
  return stored(id, page_answer(done));
}

// Looked at first, then, with "store", stored as the proof.
nlohmann::ordered_json CounterActs::confirm(const CounterWords& words) {
  Machine machine = machine_of(words);
  const std::string id = words.text("drop");
  ConfirmWords asked;
  asked.against = words.filled("against");
  asked.only = words.texts("only");
  asked.look = !words.is_on("store");
  asked.intake = storing(words);
  if (!asked.look)
    return stored(
        id, page_answer(confirm_restore(machine, *looked_at(id, machine).inspection, asked, page_style)));
  Drop& drop = drops_.get(id);
  IntakeWords intake;
  Inspection inspection = look_at(drop, machine, words, intake);
  Done done = confirm_restore(machine, inspection, asked, page_style);
  done.beside.insert(0, intake.remarks);
  drops_.hold(drop, std::move(inspection), machine.facts().name);
  return page_answer(done);
}

nlohmann::ordered_json CounterActs::stored(const std::string& drop, Json json) {
  const bool is_stored = json["answer"].is_object() && !json["answer"]["stored"].is_null();
  if (is_stored) drops_.forget(drop);
  json["stored"] = is_stored;
  return json;
}

nlohmann::ordered_json CounterActs::audit(const CounterWords& words) {
  const std::string name = words.text("machine");
  return begin_work("audit", name, [this, name](const Tell& tell) {
    return audit_machine(live_.shop(), name, tell, page_style);
  });
}

nlohmann::ordered_json CounterActs::sync(const CounterWords& words) {
  const std::string name = words.text("machine");
  return begin_work("sync", name,
                    [this, name](const Tell& tell) { return sync_machine(live_.shop(), name, tell); });
}

nlohmann::ordered_json CounterActs::begin_work(const std::string& what, const std::string& machine,
                                               const std::function<Done(const Tell&)>& work) {
  live_.check_shown(machine);
  if (work_.is_going()) {
    throw Error(ErrorKind::refused, fmt::format("{} is still going on", work_.what()),
                "wait for its end, or stop it");
  }
  work_.begin(fmt::format("{} {}", what, machine),
              [this, &work](const Tell& tell) { return answered([&] { return page_answer(work(tell)); }); });
  return {{"exit", 0}};
}

// What it is at, or, once it is over, what it answers: "said" as of any act.
nlohmann::ordered_json CounterActs::work(const CounterWords& /*words*/) {
  const bool is_going = work_.is_going();
  const auto [stage, done, of] = work_.progress();
  const std::string said = is_going ? "" : work_.answer();
  return {{"exit", 0},
          {"what", work_.what()},
          {"going", is_going},
          {"stage", stage},
          {"done", done},
          {"of", of},
          {"said", said.empty() ? Json(nullptr) : Json::parse(said, nullptr, false)}};
}

nlohmann::ordered_json CounterActs::stop(const CounterWords& /*words*/) {
  work_.stop();
  return {{"exit", 0}};
}

RestoreJob CounterActs::job(const Machine& machine, const CounterWords& words, bool plan) {
  RestoreWords asked;
  asked.at = words.filled("at");
  asked.only = words.texts("only");
  asked.plan = plan;
  asked.accept = words.is_on("accept");
  return restore_job(machine, asked);
}

nlohmann::ordered_json CounterActs::plan(const CounterWords& words) {
  const Machine machine = machine_of(words);
  const RestoreJob asked = job(machine, words, true);
  Json json = page_answer({show::restore({machine.facts(), machine.namebook(), page_style},
                                         {asked, "", {}, "", set_digest(asked.set)})});
  json["made"] = nullptr;
  return json;
}

nlohmann::ordered_json CounterActs::restore(const CounterWords& words) {
  const Machine machine = machine_of(words);
  const RestoreJob asked = job(machine, words, false);
  const std::string form = words.text("form");
  if (form != "zip" && form != "img") throw CounterWords::not_understood("form");
  const std::string part = asked.asked.empty()       ? ""
                           : asked.by_item           ? "-items"
                           : asked.asked.size() == 1 ? fmt::format("-{}", group_name(asked.asked[0].group))
                                                     : "-groups";
  std::error_code ignored;
  fs::remove(made_, ignored);  // one at a time
  made_ = folder_.path() /
          fmt::format("{}-{}{}.{}", machine.facts().name, asked.target.commit.substr(0, 8), part, form);
  fs::remove(made_, ignored);
  TargetOptions target;
  target.to = made_.string();
  const Written written = write_target(asked, target);
  Json json = page_answer(
      {show::restore({machine.facts(), machine.namebook(), page_style},
                     {asked, written.title, written.paths, written.kept, set_digest(asked.set)})});
  json["made"] = made_.filename().string();
  return json;
}

std::string CounterActs::made() const {
  std::string bytes;
  std::ifstream in(made_, std::ios::binary);
  bytes.assign(std::istreambuf_iterator<char>(in), {});
  return bytes;
}

}  // namespace keepway::cli
