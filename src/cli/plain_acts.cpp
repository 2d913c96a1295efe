#include "cli/plain_acts.hpp"

#include <map>

namespace keepway::cli {
namespace {

using Json = nlohmann::ordered_json;

TrialWords trial_words(const CounterWords& words) {
  TrialWords trial;
  trial.name = words.filled("name");
  trial.at = words.text("at");
  trial.note = words.text("note");
  trial.by = words.text("by");
  trial.only = words.texts("only");
  trial.prefer = words.texts("prefer");
  trial.accept = words.is_on("accept");
  trial.onto = words.text("onto");
  trial.tip = words.text("tip");
  return trial;
}

template <Done (*Act)(Machine&, const TrialWords&, show::Style)>
Json trial_act(Machine& machine, const CounterWords& words) {
  return page_answer(Act(machine, trial_words(words), page_style));
}

// What the trial changed; and, once a backup is on it, what keeping it would come to: where main has another
// value, and which tips that was worked out for.
Json trial_compared(Machine& machine, const CounterWords& words) {
  const TrialWords trial = trial_words(words);
  Json json = page_answer(trial_changes(machine, trial, page_style));
  json["plan"] = nullptr;
  if (!find_trial(machine, trial.name).newest) return json;
  const Keep keep = trial_plan(machine, trial);
  const show::Answer plan = show::trial_keep(context(machine, page_style), keep);
  json["plan"] = Json::parse(plan.json, nullptr, false);
  json["plan"]["onto"] = keep.onto;
  json["plan"]["tip"] = keep.tip;
  return json;
}

Json named(Machine& machine, const CounterWords& words) {
  NameWords name;
  name.address = words.filled("address");
  name.name = words.given("name");
  name.unit = words.given("unit");
  name.min = words.given("min");
  name.max = words.given("max");
  name.step = words.given("step");
  name.caution = words.given("caution");
  name.remove = words.is_on("remove");
  return page_answer(name_item(machine, name, page_style));
}

Json marked(Machine& machine, const CounterWords& words) {
  MarkWords asked{words.filled("name"), "", words.text("by"), words.text("rename"), words.is_on("remove")};
  if (asked.rename.empty() && !asked.remove) asked.at = words.filled("at");
  return page_answer(mark(machine, asked, page_style));
}

Json withdrawn(Machine& machine, const CounterWords& words) {
  return page_answer(
      withdraw(machine, {words.filled("backup"), words.text("why"), words.is_on("undo"), words.text("by")},
               page_style));
}

Json corrected(Machine& machine, const CounterWords& words) {
  return page_answer(correct(machine,
                             {words.filled("backup"), words.text("at"), words.given("taken_by"),
                              words.given("note"), words.is_on("undo"), words.text("by")},
                             page_style));
}

Json reasons_known(Machine& machine, const CounterWords& words) {
  const auto back = static_cast<std::size_t>(words.number("back", 1'000'000));
  return page_answer(reasons(machine, {back, words.text("by"), words.text("why")}, page_style));
}

Json changed_battery(Machine& machine, const CounterWords& words) {
  return page_answer(battery(machine, {words.text("changed"), words.number("months", 1'200)}, page_style));
}

}  // namespace

nlohmann::ordered_json error_json(const Error& error) {
  return {{"what", error.message()}, {"remedy", error.remedy()}};
}

nlohmann::ordered_json page_answer(const Done& done) {
  return {{"exit", static_cast<int>(done.exit)},
          {"text", done.answer.text},
          {"beside", done.beside},
          {"answer", Json::parse(done.answer.json, nullptr, false)}};
}

PlainAct plain_act(std::string_view name) {
  static const std::map<std::string_view, PlainAct> acts = {
      {"mark", marked},
      {"withdraw", withdrawn},
      {"correct", corrected},
      {"reasons", reasons_known},
      {"battery", changed_battery},
      {"names", named},
      {"trials",
       [](Machine& machine, const CounterWords&) { return page_answer(trial_list(machine, page_style)); }},
      {"trial-begin", trial_act<trial_begin>},
      {"trial-changes", trial_compared},
      {"trial-pause", trial_act<trial_pause>},
      {"trial-resume", trial_act<trial_resume>},
      {"trial-keep", trial_act<trial_keep>},
      {"trial-drop", trial_act<trial_drop>},
  };
  const auto found = acts.find(name);
  return found == acts.end() ? nullptr : found->second;
}

}  // namespace keepway::cli
