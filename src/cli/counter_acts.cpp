#include "cli/counter_acts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <fstream>
#include <iterator>

#include "cli/acts.hpp"
#include "cli/target.hpp"

namespace keepway::cli {
namespace fs = std::filesystem;
namespace {

constexpr show::Style plain_style{false, true};

nlohmann::ordered_json answer(const Done& done) {
  return {{"exit", static_cast<int>(done.exit)},
          {"text", done.answer.text},
          {"beside", done.beside},
          {"answer", nlohmann::ordered_json::parse(done.answer.json, nullptr, false)}};
}

}  // namespace

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
  constexpr auto names =
      std::to_array<std::string_view>({"begin", "leave", "inspect", "intake", "mark", "withdraw", "correct",
                                       "reasons", "battery", "plan", "restore"});
  if (std::find(names.begin(), names.end(), name) == names.end()) return std::nullopt;
  return answered([&] { return done(name, CounterWords(body)); });
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
std::string CounterActs::answered(const std::function<Json()>& act) const {
  Json json;
  try {
    json = act();
  } catch (const Error& error) {
    json = {{"exit", static_cast<int>(exit_of(error.kind()))},
            {"error", {{"what", error.message()}, {"remedy", error.remedy()}}}};
  }
  return without_folder(json.dump(-1, ' ', true, Json::error_handler_t::replace) + "\n");
}

nlohmann::ordered_json CounterActs::done(std::string_view name, const CounterWords& words) {
  if (name == "begin") return {{"exit", 0}, {"drop", drops_.begin(words.text("folder"))}};
  if (name == "leave") {
    drops_.forget(words.text("drop"));
    return {{"exit", 0}};
  }
  Machine machine = live_.machine(words.text("machine"));
  const std::string by = words.text("by");
  if (name == "inspect") return inspect(machine, words);
  if (name == "intake") return take(machine, words);
  if (name == "plan" || name == "restore") return restore(machine, words, name == "plan");
  if (name == "mark")
    return answer(mark(machine, {words.filled("name"), words.filled("at"), by}, plain_style));
  if (name == "withdraw")
    return answer(withdraw(machine, {words.filled("backup"), words.text("why"), by}, plain_style));
  if (name == "correct") {
    return answer(correct(
        machine, {words.filled("backup"), words.text("at"), words.given("taken_by"), words.given("note"), by},
        plain_style));
  }
  if (name == "reasons") {
    const auto back = static_cast<std::size_t>(words.number("back", 1'000'000));
    return answer(reasons(machine, {back, by, words.text("why")}, plain_style));
  }
  return answer(battery(machine, {words.text("changed"), words.number("months", 1'200)}, plain_style));
}

nlohmann::ordered_json CounterActs::inspect(const Machine& machine, const CounterWords& words) {
  Drop& drop = drops_.get(words.text("drop"));
  IntakeWords intake;
  intake.at = words.text("at");
  intake.slot = static_cast<std::size_t>(words.number("slot", 100'000));
  intake.recover = words.is_on("recover");
  media::Set set = received(drop.path(), intake);
  set.source = without_folder(std::move(set.source));
  Inspection inspection = machine.inspect(std::move(set), intake.intake);
  const show::Context context{machine.facts(), machine.namebook(), plain_style};
  Done done = inspected(machine, inspection, plain_style);
  done.beside.insert(0, intake.remarks);
  Json json = answer(done);
  json["changes"] = answer({show::changes_found(context, inspection)});
  const auto there = machine.stored_already(inspection);
  json["already"] = there ? Json(show::stored_already(context, *there).text) : Json(nullptr);
  drops_.hold(drop, std::move(inspection), machine.facts().name);
  return json;
}

// What was shown is what is stored: the very inspection, which lands only where nothing came in since.
nlohmann::ordered_json CounterActs::take(Machine& machine, const CounterWords& words) {
  const std::string id = words.text("drop");
  Drop& drop = drops_.get(id);
  if (!drop.inspection || drop.machine != machine.facts().name) {
    throw Error(ErrorKind::usage, "this backup has not been looked at, or another was since",
                "look at its verdict first");
  }
  IntakeWords intake;
  intake.again = words.is_on("again");
  intake.intake.accept = words.is_on("accept");
  intake.intake.by = words.text("by").empty() ? who() : words.text("by");
  intake.intake.note = words.text("note");
  intake.intake.now = now();
  const Done done = take_in(machine, *drop.inspection, intake, plain_style);
  Json json = answer(done);
  const bool is_stored = json["answer"].is_object() && !json["answer"]["stored"].is_null();
  if (is_stored) drops_.forget(id);
  json["stored"] = is_stored;
  return json;
}

nlohmann::ordered_json CounterActs::restore(const Machine& machine, const CounterWords& words, bool plan) {
  RestoreWords asked;
  asked.at = words.filled("at");
  if (const std::string only = words.text("only"); !only.empty()) asked.only.push_back(only);
  asked.plan = plan;
  asked.accept = words.is_on("accept");
  const RestoreJob job = restore_job(machine, asked);
  Written written;
  if (!plan) {
    const std::string form = words.text("form");
    if (form != "zip" && form != "img") throw CounterWords::not_understood("form");
    std::error_code ignored;
    fs::remove(made_, ignored);  // one at a time
    made_ = folder_.path() / fmt::format("{}-{}{}{}.{}", machine.facts().name, job.target.commit.substr(0, 8),
                                         asked.only.empty() ? "" : "-",
                                         asked.only.empty() ? "" : group_name(job.asked.front().group), form);
    fs::remove(made_, ignored);
    TargetOptions target;
    target.to = made_.string();
    written = write_target(job, target);
  }
  Json json = answer({show::restore({machine.facts(), machine.namebook(), plain_style},
                                    {job, written.title, written.paths, written.kept, set_digest(job.set)})});
  json["made"] = plan ? Json(nullptr) : Json(made_.filename().string());
  return json;
}

std::string CounterActs::made() const {
  std::string bytes;
  std::ifstream in(made_, std::ios::binary);
  bytes.assign(std::istreambuf_iterator<char>(in), {});
  return bytes;
}

}  // namespace keepway::cli
