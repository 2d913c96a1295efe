// What shells ask while a person types. It must answer before the person notices: it opens one machine at
// most, and reads of it one table.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <set>

#include "cli/command.hpp"
#include "keepway/document.hpp"
#include "keepway/trial.hpp"

namespace keepway::cli {
namespace {

using Words = std::vector<std::string>;

// Where the words so far have led.
struct Typed {
  const CLI::App* app = nullptr;
  std::vector<const CLI::App*> above;  // whose options may be here too
  Words given;                         // positional words of all commands on the way
  std::vector<std::string> kinds;      // what each was
  const CLI::Option* open = nullptr;   // an option that waits for its value
  std::string shop;
};

const CLI::Option* option_called(const Typed& place, const std::string& word) {
  const auto in = [&](const CLI::App* app) -> const CLI::Option* {
    for (const CLI::Option* option : app->get_options()) {
      if (!option->get_positional() && option->check_name(word)) return option;
    }
    return nullptr;
  };
  if (const CLI::Option* own = in(place.app)) return own;
  for (const CLI::App* app : place.above) {
    if (const CLI::Option* found = in(app)) return found;
  }
  return nullptr;
}

std::vector<const CLI::Option*> positionals(const CLI::App& app) {
  std::vector<const CLI::Option*> found;
  for (const CLI::Option* option : app.get_options()) {
    if (option->get_positional()) found.push_back(option);
  }
  return found;
}

// The positional that the next word is; the last takes all that follow when it may.
const CLI::Option* positional_at(const CLI::App& app, std::size_t index) {
  const auto all = positionals(app);
  if (index < all.size()) return all[index];
  return !all.empty() && all.back()->get_items_expected_max() > 1 ? all.back() : nullptr;
}

const CLI::App* command_called(const CLI::App& app, const std::string& word) {
  for (const CLI::App* sub : app.get_subcommands([](const CLI::App*) { return true; })) {
    if (sub->get_name() == word && !sub->get_group().empty()) return sub;
  }
  return nullptr;
}

Typed follow(const CLI::App& app, const Words& words) {
  Typed place;
  place.app = &app;
  std::size_t index = 0;  // of the next positional of place.app
  for (std::size_t i = 0; i + 1 < words.size(); ++i) {
    const std::string& word = words[i];
    if (place.open != nullptr) {
      if (place.open->check_name("--shop")) place.shop = word;
      place.open = nullptr;
      continue;
    }
    if (word.size() > 1 && word.front() == '-') {
      const CLI::Option* option = option_called(place, word.substr(0, word.find('=')));
      const bool takes = option != nullptr && option->get_items_expected_max() > 0;
      if (takes && word.find('=') == std::string::npos) place.open = option;
      continue;
    }
    const CLI::Option* positional = positional_at(*place.app, index);
    const CLI::App* sub = positional == nullptr ? command_called(*place.app, word) : nullptr;
    if (sub != nullptr) {
      place.above.push_back(place.app);
      place.app = sub;
      index = 0;
      continue;
    }
    place.given.push_back(word);
    place.kinds.push_back(positional == nullptr ? "" : positional->get_name(true));
    ++index;
  }
  return place;
}

std::optional<Shop> shop_of(const Typed& place) {
  Globals globals;
  globals.shop = place.shop;
  return open_shop(globals);
}

std::optional<Machine> machine_of(const Typed& place) {
  for (std::size_t i = 0; i < place.given.size(); ++i) {
    if (place.kinds[i] == "MACHINE" || place.kinds[i] == "A") return shop_of(place)->machine(place.given[i]);
  }
  return std::nullopt;
}

Words groups() {
  Words found;
  for (const Group group : all_groups) found.emplace_back(group_name(group));
  return found;
}

// The next part of each address that begins so: `offsets/tool/`, then `offsets/tool/12/`.
Words addresses(const Typed& place, const std::string& typed) {
  const std::size_t slash = typed.find('/');
  const auto group = parse_group(typed.substr(0, slash));
  std::set<std::string, NaturalLess> found;
  if (slash == std::string::npos || !group) {
    for (const std::string& each : groups()) found.insert(each + "/");
    return {found.begin(), found.end()};
  }
  const auto machine = machine_of(place);
  const auto newest = machine ? machine->latest() : std::nullopt;
  if (!newest) return {};
  const auto offer = [&](const std::string& key) {
    const std::string address = Address{*group, key}.text();
    if (!address.starts_with(typed) || is_unread(key)) return;
    const std::size_t next = address.find('/', typed.size());
    found.insert(next == std::string::npos ? address : address.substr(0, next + 1));
  };
  if (*group == Group::programs) {
    for (const store::Blob& blob : machine->repository().list(newest->commit, "state/programs/")) {
      if (const auto name = program_name_from_path(blob.path)) offer(*name);
    }
  } else {
    for (const Item& item : machine->table(newest->commit, *group).value_or(Table{})) offer(item.key);
  }
  return {found.begin(), found.end()};
}

Words trial_names(const Typed& place) {
  Words found;
  const auto machine = machine_of(place);
  if (!machine) return found;
  for (const auto& line : machine->repository().lines()) {
    if (auto trial = trial_of_line(line.name)) found.push_back(std::move(*trial));
  }
  return found;
}

Words moments(const Typed& place) {
  Words found = trial_names(place);
  const auto machine = machine_of(place);
  if (!machine) return found;
  for (const auto& mark : machine->repository().marks()) found.push_back(mark.name);
  return found;
}

Words values(const Typed& place, const std::string& kind, const std::string& typed) {
  if (kind == "MACHINE" || kind == "A" || kind == "B") return shop_of(place)->machines();
  if (kind == "ADDRESS" || kind == "WHAT") return addresses(place, typed);
  if (kind == "WHEN" || kind == "FROM" || kind == "TO" || kind == "N") return moments(place);
  if (kind == "GROUP") return groups();
  if (kind == "TOPIC") {
    Words found;
    for (const show::Topic& topic : show::topics()) found.push_back(topic.name);
    return found;
  }
  const bool of_trial = !place.above.empty() && place.above.back()->get_name() == "trial";
  if (kind == "NAME" && of_trial && place.app->get_name() != "begin") return trial_names(place);
  if (kind == "NAME|FILE.toml") {
    Words found;
    for (const std::string_view name : builtin_layout_names()) found.emplace_back(name);
    return found;
  }
  return {};
}

void add_options(const CLI::App& app, Words& found) {
  for (const CLI::Option* option : app.get_options()) {
    if (option->get_positional()) continue;
    for (const std::string& name : option->get_lnames()) found.push_back("--" + name);
  }
}

Words candidates(const CLI::App& app, const Words& words) {
  const std::string& typed = words.back();
  const Typed place = follow(app, words);
  Words found;
  if (place.open != nullptr) return values(place, place.open->get_type_name(), typed);
  if (!typed.empty() && typed.front() == '-') {
    add_options(*place.app, found);
    for (const CLI::App* above : place.above) add_options(*above, found);
    return found;
  }
  const std::size_t here = positionals(*place.app).size();
  // Positionals of this command are last among those given.
  std::size_t before = 0;
  for (const CLI::App* above : place.above) before += positionals(*above).size();
  const std::size_t index = place.given.size() - std::min(before, place.given.size());
  if (const CLI::Option* positional = positional_at(*place.app, index); here > 0 && positional != nullptr) {
    return values(place, positional->get_name(true), typed);
  }
  for (const CLI::App* sub : place.app->get_subcommands([](const CLI::App*) { return true; })) {
    if (!sub->get_group().empty()) found.push_back(sub->get_name());
  }
  return found;
}

}  // namespace

std::vector<std::string> completions(const CLI::App& app, const std::vector<std::string>& words) {
  if (words.empty()) return {};
  Words found;
  try {
    found = candidates(app, words);
  } catch (const Error&) {
    return {};
  }
  std::erase_if(found, [&](const std::string& each) {
    return !each.starts_with(words.back()) || escape(each) != each;  // no line end may part a candidate
  });
  return found;
}

}  // namespace keepway::cli
