// What can be done at the counter: each act by the same function as its command.
#pragma once

#include <filesystem>
#include <functional>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "cli/acts.hpp"
#include "cli/counter_words.hpp"
#include "cli/drops.hpp"
#include "cli/live.hpp"
#include "cli/private_folder.hpp"
#include "cli/work_process.hpp"

namespace keepway::cli {

class CounterActs {
 public:
  // From here on, what is lost of a machine is said by each act that meets it.
  explicit CounterActs(const Live& live);

  // What an act answers: {"exit", "text", "beside", "answer"}, or {"exit", "error": {"what", "remedy"}}, in
  // the words of its command. `body` is a JSON object of texts, numbers and switches. nullopt for a name that
  // is no act.
  std::optional<std::string> act(std::string_view name, const std::string& body);
  // Bytes of a file that is dropped: ?drop=ID&name=PATH&at=OFFSET&time=SECONDS. Answers as act().
  std::string put(const Request& request);
  // For this counter alone, gone with it.
  [[nodiscard]] const std::filesystem::path& folder() const { return folder_.path(); }
  // The restore set that the last act "restore" made; empty when there is none.
  [[nodiscard]] std::string made() const;

 private:
  using Json = nlohmann::ordered_json;
  std::string answered(const std::function<Json()>& act);
  // Where files lie meanwhile says nothing to anybody.
  [[nodiscard]] std::string without_folder(std::string text) const;
  [[nodiscard]] Machine machine_of(const CounterWords& words) const;
  Json begin(const CounterWords& words);
  Json leave(const CounterWords& words);
  Json slots(const CounterWords& words);
  Json inspect(const CounterWords& words);
  Json take(const CounterWords& words);
  Json confirm(const CounterWords& words);
  Json plan(const CounterWords& words);
  Json restore(const CounterWords& words);
  // Long works, each in a process of its own: begun, looked at, stopped.
  Json audit(const CounterWords& words);
  Json sync(const CounterWords& words);
  Json begin_work(const std::string& what, const std::string& machine,
                  const std::function<Done(const Tell&)>& work);
  Json work(const CounterWords& words);
  Json stop(const CounterWords& words);
  static RestoreJob job(const Machine& machine, const CounterWords& words, bool plan);
  // Reads what was dropped; `intake` gets its times and remarks.
  Inspection look_at(const Drop& drop, const Machine& machine, const CounterWords& words,
                     IntakeWords& intake) const;
  // What was shown. Error{usage} where it was not, or of another machine.
  Drop& looked_at(const std::string& drop, const Machine& machine);
  // Whether it was stored; then its files are here no longer.
  Json stored(const std::string& drop, Json json);

  const Live& live_;
  PrivateFolder folder_;
  Drops drops_;
  WorkProcess work_;
  std::filesystem::path made_;
  std::string losses_;
};

}  // namespace keepway::cli
