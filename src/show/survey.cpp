#include <fmt/format.h>

#include "show/json.hpp"
#include "show/text.hpp"
#include "show/understood.hpp"

namespace keepway::show {

Answer survey(const Survey& survey, const std::string& written, Style style) {
  Json json = start("survey", nullptr);
  json["units"] = survey.units ? Json(units_name(*survey.units)) : Json(nullptr);
  json["files"] = Json::array();
  Grid grid;
  grid.heading({"file", "group", "reader", "confidence", "items", "unread"});
  for (const SurveyedFile& file : survey.files) {
    grid.row({escape(file.title.empty() ? file.name : file.name + ", " + file.title),
              std::string(group_name(file.group)), std::string(reader_name(file.reader)),
              fmt::format("{} %", file.confidence), with_commas(file.items), with_commas(file.unread)});
    Json guesses = Json::array();
    for (const Guess& guess : file.guesses) {
      grid.note(Tone::plain, "guessed: " + guess_text(guess));
      guesses.push_back(escape(guess.what));
    }
    Json misfits = Json::array();
    for (const auto& misfit : file.misfits) {
      grid.note(Tone::doubtful, fmt::format("! {}: {}", escape(misfit.place.text()), misfit.text));
      misfits.push_back({{"place", to_json(misfit.place)}, {"text", misfit.text}});
    }
    if (file.unread > file.misfits.size()) {
      grid.note(Tone::doubtful,
                fmt::format("! and {} more lines like these", file.unread - file.misfits.size()));
    }
    json["files"].push_back({{"file", escape(file.name)},
                             {"part", escape(file.title)},
                             {"pattern", escape(file.pattern)},
                             {"group", group_name(file.group)},
                             {"reader", reader_name(file.reader)},
                             {"confidence", file.confidence},
                             {"items", file.items},
                             {"lines", file.lines},
                             {"parity", file.parity},
                             {"unread", file.unread},
                             {"guesses", std::move(guesses)},
                             {"misfits", std::move(misfits)}});
  }
  json["left_out"] = Json::array();
  for (const std::string& name : survey.left_out) {
    const bool no_text =
        std::find(survey.no_text.begin(), survey.no_text.end(), name) != survey.no_text.end();
    grid.note(Tone::doubtful,
              fmt::format("! {} is left out: {}", escape(name),
                          no_text ? "it is no text of a control, but a picture, or what a PC wrote"
                                  : "no reader fits it; write its source by hand, see keepway help layout"));
    json["left_out"].push_back(escape(name));
  }
  json["layout"] = survey.layout;
  if (!written.empty()) json["written"] = written;
  std::string text = grid.text(style);
  if (written.empty()) {
    text += "\n" + survey.layout;
  } else {
    text += fmt::format(
        "\nThe layout is {}: read it through, correct what is guessed wrongly, then\n  keepway enroll "
        "MACHINE --layout {} --serial S\n",
        escape(written), escape(written));
  }
  return {std::move(text), finish(json)};
}

}  // namespace keepway::show
