#include "cli/counter_acts.hpp"

#include <fmt/format.h>

#include <charconv>
#include <fstream>
#include <iterator>
#include <limits>
#include <map>

#include "cli/acts.hpp"
#include "cli/plain_acts.hpp"
#include "cli/target.hpp"
#include "keepway/sync.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;

namespace {

SyncOptions telling(SyncOptions options, const OnProgress& on_progress) {
  options.progress = [on_progress](const SyncProgress& at) {
    on_progress(fmt::format("{} objects", at.step), at.done, at.total);
  };
  return options;
}

// Of the files to put back, without its ending: "mill-1-7-2026-03-01-items" is of #7.
std::string file_name(const Machine& machine, const RestoreJob& job) {
  constexpr std::size_t day_digits = 10;
  std::string backup;  // "warm-up #2" is warm-up-2
  for (const char c : name_of(job.target)) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
    if (plain || (!backup.empty() && (c == '-' || c == '_' || c == '.')))
      backup += c;
    else if (!backup.empty() && backup.back() != '-')
      backup += '-';
  }
  const std::string part = job.asked.empty()       ? ""
                           : job.by_item           ? "-items"
                           : job.asked.size() == 1 ? fmt::format("-{}", group_name(job.asked[0].group))
                                                   : "-groups";
  return fmt::format("{}-{}-{}{}", machine.facts().name, backup,
                     format_time(job.target.at).substr(0, day_digits), part);
}

}  // namespace

void CounterActs::refuse_while_going(WorkProcess& process) {
  if (!process.is_going()) return;
  throw Error(ErrorKind::refused, fmt::format("{} is still going on", process.what()),
              "wait for its end, or stop it");
}

CounterActs::CounterActs(Live& live, std::vector<std::string> sticks)
    : live_(live), drops_(folder_.path()), sticks_(std::move(sticks)) {
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
    // The number of the drop, and the folder of files that were dropped without one, or were made.
    std::size_t end = at;
    while (end < text.size() && text[end] >= '0' && text[end] <= '9') ++end;
    const bool is_drop = end > at && end < text.size() && text[end] == '/';
    if (is_drop) text.erase(at, end + 1 - at);
    const std::string_view loose = is_drop ? "dropped/" : "made/";
    if (text.compare(at, loose.size(), loose) == 0) text.erase(at, loose.size());
  }
  return text;
}

std::optional<std::string> CounterActs::act(std::string_view name, const std::string& body) {
  using Own = Json (CounterActs::*)(const CounterWords&);
  static const std::map<std::string_view, Own> own = {
      {"begin", &CounterActs::begin},     {"leave", &CounterActs::leave},
      {"inspect", &CounterActs::inspect}, {"intake", &CounterActs::take},
      {"plan", &CounterActs::plan},       {"restore", &CounterActs::restore},
      {"confirm", &CounterActs::confirm}, {"audit", &CounterActs::audit},
      {"sync", &CounterActs::sync},       {"work", &CounterActs::work},
      {"stop", &CounterActs::stop},       {"slots", &CounterActs::slots},
      {"propose", &CounterActs::propose}, {"enroll", &CounterActs::enroll},
      {"sticks", &CounterActs::sticks},   {"stick", &CounterActs::stick},
      {"target", &CounterActs::target},   {"write", &CounterActs::write},
      {"copy", &CounterActs::copy},
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
    json = {{"exit", static_cast<int>(exit_of(error.kind()))}, {"error", error_json(error)}};
  }
  return without_folder(json.dump(-1, ' ', true, Json::error_handler_t::replace) + "\n");
}

Machine CounterActs::machine_of(const CounterWords& words) const {
  return live_.machine(words.text("machine"));
}

nlohmann::ordered_json CounterActs::audit(const CounterWords& words) {
  const std::string name = words.text("machine");
  return begin_care("audit", name, [this, name](const OnProgress& on_progress) {
    return page_answer(audit_machine(live_.shop(), name, on_progress, page_style));
  });
}

nlohmann::ordered_json CounterActs::sync(const CounterWords& words) {
  const std::string name = words.text("machine");
  SyncOptions options;
  options.to = words.text("to");
  options.accept = words.is_on("accept");
  return begin_care("sync", name, [this, name, options](const OnProgress& on_progress) {
    return page_answer(synced(name, sync_machine(live_.shop(), name, telling(options, on_progress))));
  });
}

void CounterActs::refuse_another_machine() const {
  if (!live_.is_alone()) return;
  throw Error(ErrorKind::refused, "this counter is of one machine alone, and has no list for another",
              "stop it, start keepway counter without a machine's name, and begin from its list");
}

// One that is not here yet, as a first sync does.
nlohmann::ordered_json CounterActs::copy(const CounterWords& words) {
  refuse_another_machine();
  const std::string name = words.filled("name");
  check_machine_name(name);
  // One that was stopped before has no file of that name yet, though maybe others, and goes on.
  if (std::filesystem::exists(live_.shop().folder() / name / "machine.toml")) {
    throw Error(ErrorKind::refused, fmt::format("{} is in this shop already", name),
                "choose another name; or make it the same as its other copy on its own page, under Care");
  }
  SyncOptions options;
  options.to = words.filled("to");
  options.accept = words.is_on("accept");
  refuse_while_going(care_);
  return begin_work(
      care_, "copy " + name, Json::object(), [this, name, options](const OnProgress& on_progress) {
        Json json =
            page_answer(synced(name, sync_machine(live_.shop(), name, telling(options, on_progress))));
        json["enrolled"] = name;
        return json;
      });
}

nlohmann::ordered_json CounterActs::begin_care(const std::string& what, const std::string& machine,
                                               const Work& work) {
  live_.check_shown(machine);
  refuse_while_going(care_);
  return begin_work(care_, fmt::format("{} {}", what, machine), Json::object(), work);
}

nlohmann::ordered_json CounterActs::begin_work(WorkProcess& process, const std::string& what, Json where,
                                               const Work& work) {
  where["number"] = process.begin(what, [this, &work](const OnProgress& on_progress) {
    return answered([&] { return work(on_progress); });
  });
  return {{"exit", 0}, {"going", std::move(where)}};
}

WorkProcess& CounterActs::work_of(const CounterWords& words) {
  if (const std::string drop = words.text("drop"); !drop.empty()) return drops_.get(drop).work;
  return words.is_on("files") ? files_ : care_;
}

// What it is at, or, once it is over, what it answers: "said" as of any act. One that another has replaced
// since says nothing any more.
nlohmann::ordered_json CounterActs::work(const CounterWords& words) {
  WorkProcess& process = work_of(words);
  const bool is_going = process.is_going();
  const int asked = words.number("number", std::numeric_limits<int>::max());
  if (asked != 0 && asked != process.number()) return {{"exit", 0}, {"going", false}, {"said", nullptr}};
  const auto [stage, done, of] = process.progress();
  const std::string text = is_going ? "" : process.answer();
  Json said = text.empty() ? Json(nullptr) : Json::parse(text, nullptr, false);
  const std::string what = process.what();
  if (said.is_object()) ended(words.text("drop"), said);
  return {{"exit", 0},    {"what", what}, {"going", is_going},      {"stage", stage},
          {"done", done}, {"of", of},     {"said", std::move(said)}};
}

void CounterActs::ended(const std::string& drop, const Json& said) {
  const std::string made = said.contains("made") && said["made"].is_string() ? said["made"] : "";
  if (!made.empty()) made_ = folder_.path() / "made" / made;
  if (said.contains("enrolled")) live_.show_also(said["enrolled"]);
  if (drop.empty()) return;
  if (said.contains("seen")) drops_.get(drop).look.seen = said["seen"];
  if (said.contains("another")) drops_.get(drop).look.another = said["another"];
  if (said.value("stored", false)) drops_.forget(drop);
}

nlohmann::ordered_json CounterActs::stop(const CounterWords& words) {
  WorkProcess& process = work_of(words);
  const int asked = words.number("number", std::numeric_limits<int>::max());
  if (asked == 0 || asked == process.number()) process.stop();
  return {{"exit", 0}};
}

RestoreJob CounterActs::job(const Machine& machine, const CounterWords& words, bool plan,
                            const OnProgress& on_progress) {
  RestoreWords asked;
  asked.at = words.filled("at");
  asked.only = words.texts("only");
  asked.plan = plan;
  asked.accept = words.is_on("accept");
  asked.on_progress = on_progress;
  return restore_job(machine, asked);
}

nlohmann::ordered_json CounterActs::plan(const CounterWords& words) {
  live_.check_shown(words.text("machine"));
  files_.stop();
  return begin_work(files_, "plan", {{"files", true}}, [this, words](const OnProgress& on_progress) {
    const Machine machine = machine_of(words);
    on_progress("Comparing with what the machine holds", 0, 0);
    const RestoreJob asked = job(machine, words, true, on_progress);
    Json json = page_answer(
        {show::restore(context(machine, page_style), {asked, "", {}, "", set_digest(asked.set)})});
    json["made"] = nullptr;
    return json;
  });
}

nlohmann::ordered_json CounterActs::restore(const CounterWords& words) {
  live_.check_shown(words.text("machine"));
  const std::string form = words.text("form");
  if (form != "zip" && form != "img") throw CounterWords::not_understood("form");
  files_.stop();
  made_.clear();
  const fs::path in = folder_.path() / "made";
  fs::remove_all(in);  // one at a time
  fs::create_directory(in);
  return begin_work(
      files_, "restore", {{"files", true}}, [this, words, form, in](const OnProgress& on_progress) {
        const Machine machine = machine_of(words);
        on_progress("Making the files", 0, 0);
        const RestoreJob asked = job(machine, words, false, on_progress);
        TargetOptions target;
        target.to = in / (file_name(machine, asked) + "." + form);
        target.on_progress = on_progress;
        on_progress("Writing them, and reading them back", 0, 0);
        const Written written = write_target(asked, target);
        remember_composed(machine, asked);
        Json json =
            page_answer({show::restore(context(machine, page_style), {asked, written.title, written.paths,
                                                                      written.kept, set_digest(asked.set)})});
        json["made"] = fs::path(target.to).filename().string();
        return json;
      });
}

std::string CounterActs::made() const {
  std::string bytes;
  if (made_.empty()) return bytes;
  std::ifstream in(made_, std::ios::binary);
  bytes.assign(std::istreambuf_iterator<char>(in), {});
  return bytes;
}

}  // namespace keepway::cli
