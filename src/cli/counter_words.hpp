// The fields that came with an act at the counter: one JSON object of texts, numbers and switches.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "keepway/error.hpp"

namespace keepway::cli {

// Each is absent, null, or of the kind that it is asked for as; else Error{usage}.
class CounterWords {
 public:
  // Error{usage} for what is no such object, or longer than 64 KiB.
  explicit CounterWords(const std::string& body);

  // Empty where it is absent. Error{usage} for control characters but the ends of lines and tabs.
  [[nodiscard]] std::string text(const char* name) const;
  [[nodiscard]] std::optional<std::string> given(const char* name) const;
  // Error{usage} when it is empty.
  [[nodiscard]] std::string filled(const char* name) const;
  // A list of texts; none where it is absent.
  [[nodiscard]] std::vector<std::string> texts(const char* name) const;
  // A list of objects; none where it is absent.
  [[nodiscard]] std::vector<CounterWords> list(const char* name) const;
  [[nodiscard]] bool is_on(const char* name) const;
  [[nodiscard]] std::optional<bool> switched(const char* name) const;  // nullopt where it is absent
  // From 0 to `most`; 0 where it is absent.
  [[nodiscard]] int number(const char* name, int most) const;

  static Error not_understood(std::string_view what);

 private:
  using Json = nlohmann::ordered_json;
  explicit CounterWords(const Json& object) : json_(object) {}
  // Null where it is absent.
  [[nodiscard]] const Json& at(const char* name) const;
  static std::string clean(const Json& value, const char* name);
  Json json_;
};

}  // namespace keepway::cli
