// Tables that are drawn, in code page 437 and in UTF-8.
#include "base/encoding.hpp"
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

constexpr const char* tools =
    "Werkzeuge    Stand 03.05.1993\r\n"
    "┌─────┬────────────┬──────────┬─────────────┐\r\n"
    "│ Nr  │ Länge      │ Radius   │ Name        │\r\n"
    "├─────┼────────────┼──────────┼─────────────┤\r\n"
    "│  1  │    87.977  │   3.500  │ Fräser      │\r\n"
    "│  2  │   101.250  │  12.000  │ Bohrer lang │\r\n"
    "│ 12  │    -0.125  │   6.000  │ Reibahle H7 │\r\n"
    "└─────┴────────────┴──────────┴─────────────┘\r\n";
constexpr const char* parameters =
    "╔══════╦═══════════╦════════════════╗\r\n"
    "║ NR   ║ WERT      ║ BEZEICHNUNG    ║\r\n"
    "╠══════╬═══════════╬════════════════╣\r\n"
    "║ 0100 ║  12000    ║ Eilgang X      ║\r\n"
    "║ 0200 ║   -0.012  ║ Umkehrspiel X  ║\r\n"
    "║ 0201 ║    0.008  ║ Umkehrspiel Y  ║\r\n"
    "╚══════╩═══════════╩════════════════╝\r\n";
constexpr const char* zeros =
    "NULLPUNKTE\r\n Nr  │     X    │     Y\r\n─────┼──────────┼──────────\r\n"
    " G54 │ -133.844 │ -135.016\r\n G55 │ -125.261 │ -347.995\r\n";
constexpr const char* of_two_groups =
    "┌────────────────────────────┐\r\n"
    "│ EINSTELLUNGEN              │\r\n"
    "├──────────────────┬─────────┤\r\n"
    "│ SPRACHE          │ DEUTSCH │\r\n"
    "│ BAUDRATE         │ 9600    │\r\n"
    "│ PARITÄT          │ EVEN    │\r\n"
    "│ STOPBITS         │ 2       │\r\n"
    "└──────────────────┴─────────┘\r\n\r\n"
    "┌────────────────────────────┐\r\n"
    "│ VARIABLEN                  │\r\n"
    "├──────────────────┬─────────┤\r\n"
    "│ R1               │ 12.5    │\r\n"
    "│ R2               │ -4.25   │\r\n"
    "└──────────────────┴─────────┘\r\n";

BackupStyle drawn(const std::string& name, const std::string& encoding) {
  const Encoding set(encoding);
  const auto as = [&](const char* text) { return set.from_utf8(text).value(); };
  return style(
      name,
      {{"WKZ.TXT", as(tools)},
       {"PARAM.TXT", as(parameters)},
       {"NULL.TXT", as(zeros)},
       {"ALLES.TXT", as(of_two_groups)}},
      {"offsets/tool/{1,2,12}/{laenge,radius,name}", "parameters/{100,200,201}/{wert,bezeichnung}",
       "offsets/work/{G54,G55}/{x,y}", "settings/{SPRACHE,BAUDRATE,PARITÄT,STOPBITS}", "variables/{R1,R2}"},
      {{"offsets/tool/12/laenge", "-0.125"},
       {"offsets/tool/1/name", "Fräser"},
       {"parameters/200/wert", "-0.012"},
       {"settings/PARITÄT", "EVEN"},
       {"settings/BAUDRATE", "9600"},
       {"variables/R2", "-4.25"}},
      {"name", "bezeichnung", "settings/SPRACHE", "settings/PARITÄT"});
}

std::vector<BackupStyle> styles() {
  return {drawn("in_code_page_437", "CP437"), drawn("in_utf_8", "UTF-8")};
}

class SurveyStyleDrawn : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleDrawn, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleDrawn, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
