// The acts at the counter that need no more than the machine and the fields that came.
#pragma once

#include <nlohmann/json.hpp>
#include <string_view>

#include "cli/acts.hpp"
#include "cli/counter_words.hpp"

namespace keepway::cli {

// As pages show it: no colour, and both forms.
inline constexpr show::Style page_style{false, true, true};
// {"what", "remedy"}
nlohmann::ordered_json error_json(const Error& error);
// {"exit", "text", "beside", "answer"}
nlohmann::ordered_json page_answer(const Done& done);

using PlainAct = nlohmann::ordered_json (*)(Machine& machine, const CounterWords& words);
// nullptr for a name that is none.
PlainAct plain_act(std::string_view name);

}  // namespace keepway::cli
