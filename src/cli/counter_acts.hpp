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
#include "cli/sticks.hpp"
#include "cli/work_process.hpp"

namespace keepway::cli {

class CounterActs {
 public:
  // From here on, what is lost of a machine is said by each act that meets it. `sticks`: see Sticks.
  CounterActs(Live& live, std::vector<std::string> sticks);

  // What an act answers: {"exit", "text", "beside", "answer"}, or {"exit", "error": {"what", "remedy"}}, in
  // the words of its command; of what takes long {"exit", "going"}: where the act "work" gives that, and
  // "stop" ends it. `body` is a JSON object of texts, numbers and switches. nullopt for a name that is no
  // act.
  std::optional<std::string> act(std::string_view name, const std::string& body);
  // Bytes of a file that is dropped: ?drop=ID&name=PATH&at=OFFSET&time=SECONDS. Answers as act().
  std::string put(const Request& request);
  // For this counter alone, gone with it.
  [[nodiscard]] const std::filesystem::path& folder() const { return folder_.path(); }
  // The restore set that the last act "restore" made; empty when there is none.
  [[nodiscard]] std::string made() const;

 private:
  using Json = nlohmann::ordered_json;
  using Work = std::function<Json(const OnProgress&)>;
  using Store =
      std::function<Done(Machine& machine, const Inspection& inspection, const OnProgress& on_progress)>;
  std::string answered(const std::function<Json()>& act);
  // Where files lie meanwhile says nothing to anybody.
  [[nodiscard]] std::string without_folder(std::string text) const;
  [[nodiscard]] Machine machine_of(const CounterWords& words) const;
  Json begin(const CounterWords& words);
  Json leave(const CounterWords& words);
  Json sticks(const CounterWords& words);
  Json stick(const CounterWords& words);
  Json slots(const CounterWords& words);
  // A slot is shown, then written to.
  Json target(const CounterWords& words);
  Json write(const CounterWords& words);
  // What takes long has a process of its own: begun, looked at, stopped. Each gives where to ask for it.
  Json inspect(const CounterWords& words);
  Json take(const CounterWords& words);
  Json confirm(const CounterWords& words);
  Json propose(const CounterWords& words);
  Json enroll(const CounterWords& words);
  Json plan(const CounterWords& words);
  Json restore(const CounterWords& words);
  Json audit(const CounterWords& words);
  Json sync(const CounterWords& words);
  Json copy(const CounterWords& words);
  Json work(const CounterWords& words);
  Json stop(const CounterWords& words);
  static void refuse_while_going(WorkProcess& process);
  // Where one machine alone is shown.
  void refuse_another_machine() const;
  // Of a drop; of the files to put back; or what is done for a machine as a whole.
  WorkProcess& work_of(const CounterWords& words);
  Json begin_work(WorkProcess& process, const std::string& what, Json where, const Work& work);
  Json begin_care(const std::string& what, const std::string& machine, const Work& work);
  // A look, which another one replaces; or, once its `look` was seen, what is done with it.
  Json begin_look(const std::string& drop, const std::string& what, Look look, const Work& work);
  Json begin_storing(const std::string& drop, const std::string& what, const Work& work);
  Json begin_storing_for(const std::string& machine, const std::string& drop, const std::string& what,
                         const Store& store);
  // What has ended: what a drop showed is noted, and what was stored is here no longer.
  void ended(const std::string& drop, const Json& said);
  static RestoreJob job(const Machine& machine, const CounterWords& words, bool plan,
                        const OnProgress& on_progress);
  static Look look_asked(const CounterWords& words);
  // What was looked at for that machine. Error{usage} where it was not.
  const Drop& looked_at(const std::string& drop, const std::string& machine);
  // Reads what was dropped, as its look says; `intake` gets its times and remarks.
  media::Set read(const Drop& drop, IntakeWords& intake, const OnProgress& on_progress) const;
  Inspection look_at(const Drop& drop, const Machine& machine, IntakeWords& intake,
                     const OnProgress& on_progress) const;

  Live& live_;
  PrivateFolder folder_;
  Drops drops_;
  Sticks sticks_;
  WorkProcess care_;
  WorkProcess files_;
  std::filesystem::path made_;
  std::string losses_;
};

}  // namespace keepway::cli
