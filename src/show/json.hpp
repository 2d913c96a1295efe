// Facts as JSON objects, shared by the answers.
#pragma once

#include <nlohmann/json.hpp>

#include "keepway/show.hpp"

namespace keepway::show {

using Json = nlohmann::ordered_json;

Json start(const char* command, const Context* context);
std::string finish(const Json& json);
Json number_json(const Backup& backup);
Json clashes_json(const std::vector<EditClash>& clashes);  // null for a merge, which has none
Json to_json(const Backup& backup);
Json to_json(const Verdict& verdict);
Json to_json(const Place& place);
Json to_json(const ValueMeaning& meaning, const ValueChange& change);
Json to_json(const ProgramChange& change);
Json to_json(const Failure& failure);
// A value as JSON text, or null when it is absent.
Json optional_text(const std::optional<std::string>& text);
// A value as `context` has numbers written.
std::optional<std::string> as_written(const Context& context, Group group, const std::string& key,
                                      const std::optional<std::string>& value);
// A change as the context explains it, with both values as it has numbers written.
Json to_json(const Context& context, ValueChange change);
// Keys of what is said beside a backup.
void add_beside(Json& json, const Beside& beside);
const char* program_change_name(ProgramChangeKind kind);

}  // namespace keepway::show
