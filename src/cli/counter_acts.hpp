// What can be done at the counter: each act by the same function as its command.
#pragma once

#include <filesystem>
#include <functional>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "cli/counter_words.hpp"
#include "cli/drops.hpp"
#include "cli/live.hpp"
#include "cli/private_folder.hpp"

namespace keepway::cli {

class CounterActs {
 public:
  explicit CounterActs(const Live& live) : live_(live), drops_(folder_.path()) {}

  // What an act answers: {"exit", "text", "beside", "answer"}, or {"exit", "error": {"what", "remedy"}}, in
  // the words of its command. `body` is a JSON object of texts, numbers and switches. nullopt for a name that
  // is no act.
  std::optional<std::string> act(std::string_view name, const std::string& body);
  // Bytes of a file that is dropped: ?drop=ID&name=PATH&at=OFFSET&time=SECONDS. Answers as act().
  std::string put(const Request& request);
  // The restore set that the last act "restore" made; empty when there is none.
  [[nodiscard]] std::string made() const;

 private:
  using Json = nlohmann::ordered_json;
  Json done(std::string_view name, const CounterWords& words);
  [[nodiscard]] std::string answered(const std::function<Json()>& act) const;
  // Where files lie meanwhile says nothing to anybody.
  [[nodiscard]] std::string without_folder(std::string text) const;
  Json inspect(const Machine& machine, const CounterWords& words);
  Json take(Machine& machine, const CounterWords& words);
  Json restore(const Machine& machine, const CounterWords& words, bool plan);

  const Live& live_;
  PrivateFolder folder_;
  Drops drops_;
  std::filesystem::path made_;
};

}  // namespace keepway::cli
