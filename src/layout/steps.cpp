#include "layout/steps.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "keepway/layout.hpp"

namespace keepway {
namespace layout {
namespace {

constexpr std::size_t max_lock_name = 30;

// Characters, not bytes.
std::size_t length(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80; }));
}

std::string line_of(Form& form, std::string_view key, std::size_t most, bool needed) {
  const auto text = form.text(key);
  if (!text && !needed) return "";
  if (!text || text->find_first_not_of(' ') == std::string::npos)
    form.fail(key, fmt::format("'{}' is empty", key), "write one line of text");
  if (text->find_first_of("\r\n") != std::string::npos)
    form.fail(key, fmt::format("'{}' has more than one line", key), "make each line a step");
  if (length(*text) > most) {
    form.fail(key, fmt::format("'{}' is longer than {} characters", key, most),
              "shorten it, or make it two steps: it has to fit the card");
  }
  return *text;
}

std::vector<OwnerStep> parse_list(Form& form, const std::string& key) {
  std::vector<OwnerStep> steps;
  const toml::array* list = form.tables(key);
  if (list == nullptr) return steps;
  if (list->size() > max_owner_steps) {
    form.fail(key, fmt::format("there are more than {} of [[{}]]", max_owner_steps, key),
              "combine some: they have to fit one side of the card");
  }
  struct Open {
    std::string lock;
    const toml::table* table;
  };
  std::vector<Open> open;
  for (const toml::node& node : *list) {
    const toml::table& table = *node.as_table();
    Form step(table, form.file(), fmt::format("[[{}]]", key));
    OwnerStep made;
    made.text = line_of(step, "do", max_owner_step_text, true);
    made.unlock = line_of(step, "unlock", max_lock_name, false);
    made.lock = line_of(step, "lock", max_lock_name, false);
    step.finish();
    if (!made.lock.empty()) {
      const auto found =
          std::find_if(open.begin(), open.end(), [&](const Open& each) { return each.lock == made.lock; });
      if (found == open.end()) {
        step.fail("lock", fmt::format("'{}' is not turned off by an earlier step", escape(made.lock)),
                  "add unlock with the same name to the step that turns it off");
      }
      open.erase(found);
    }
    if (!made.unlock.empty()) open.push_back({made.unlock, &table});
    steps.push_back(std::move(made));
  }
  if (!open.empty()) {
    fail(form.file(), *open.front().table,
         fmt::format("'{}' is turned off and never turned on again", escape(open.front().lock)),
         fmt::format("add a later [[{}]] with lock = \"{}\"", key, escape(open.front().lock)));
  }
  return steps;
}

}  // namespace

OwnerSteps parse_steps(Form& form) {
  return {parse_list(form, "backup_step"), parse_list(form, "restore_step")};
}

}  // namespace layout

OwnerSteps parse_steps(std::string_view layout_toml, const std::string& file) {
  (void)parse_layout(layout_toml, file);  // its errors first, whole
  const toml::table root = toml::parse(layout_toml);
  layout::Form form(root, file, "the layout");
  return layout::parse_steps(form);
}

}  // namespace keepway
