#include "layout/builtin.hpp"

#include "keepway/layout.hpp"

namespace keepway {
namespace {

struct Builtin {
  std::string_view name;
  std::string_view layout;
  std::string_view namebook;
};

const Builtin* find_builtin(std::string_view name) {
  static const Builtin all[] = {{"rs274ngc", layout::rs274ngc_layout, layout::rs274ngc_namebook}};
  for (const Builtin& one : all) {
    if (one.name == name) return &one;
  }
  return nullptr;
}

}  // namespace

std::optional<std::string_view> builtin_layout(std::string_view name) {
  const Builtin* found = find_builtin(name);
  return found == nullptr ? std::nullopt : std::optional(found->layout);
}

std::optional<std::string_view> builtin_namebook(std::string_view name) {
  const Builtin* found = find_builtin(name);
  return found == nullptr ? std::nullopt : std::optional(found->namebook);
}

std::vector<std::string_view> builtin_layout_names() {
  return {"rs274ngc"};
}

}  // namespace keepway
