// Printed lists, dumps and programs of many kinds, each of an invented control: what is a row though a word
// of headings is in it, cells without a value, records side by side, programs in a control's own words.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

std::vector<BackupStyle> tables() {
  return {
      style("rows_with_words_of_headings",
            {{"PARAMS.CSV",
              "No,Name,Value\r\n21,\"Sheet load X 1\",12.5\r\n22,\"Control delay\",0.75\r\n"
              "23,\"Sheet load X 2\",69.7593\r\n24,\"Page feed 3\",40\r\n25,\"Brake\",2\r\n"}},
            {"parameters/{21,22,23,24,25}/{name,value}"}, {{"parameters/23/value", "69.7593"}}, {"name"}),
      style("cells_without_a_value",
            {{"AXES.TXT",
              "AXIS PARAMETERS          PAGE 1\n NR.     X1     Y1     Z1\n   5    341      -  12000\n"
              "   6      -   6000     10\n  14     -1      -      1\n  15      -      -      7\n"}},
            {"parameters/5/{x1,z1}", "parameters/6/{y1,z1}", "parameters/14/{x1,z1}", "parameters/15/z1"},
            {{"parameters/14/x1", "-1"}, {"parameters/15/z1", "7"}}),
      style("zero_points_across",
            {{"WORK.DAT",
              "WORK COORDINATE DATA\n====================\nAXIS    EXT       G54       G55\n"
              "X     0.000  -286.421   -47.570\nY     0.000  -289.803  -303.831\n"
              "Z     0.000  -554.155  -105.903\n====================\nEND\n"}},
            {"offsets/work/{X,Y,Z}/{ext,g54,g55}"}, {{"offsets/work/Y/g54", "-289.803"}}),
      style("half_of_the_rows_empty",
            {{"RPARAM.CSV",
              "Parameter;Inhalt\r\nR00;53,085\r\nR01;\r\nR02;\r\nR03;-332,489\r\nR04;302,335\r\n"
              "R05;\r\nR06;\r\n"}},
            {"variables/{R00,R03,R04}"}, {{"variables/R03", "-332.489"}}),
      style("settings_under_two_titles",
            {{"SETTINGS.CSV",
              "\"Setting\",\"Value\"\n\"Machine name\",\"north\"\n\"Language\",\"English\"\n"
              "\"Baud rate\",9600\n\"Parity\",\"even\"\n\"Screen saver min\",15\n"}},
            {"settings/{Machine name,Language,Baud rate,Parity,Screen saver min}"},
            {{"settings/Baud rate", "9600"}, {"settings/Parity", "even"}},
            {"settings/Machine name", "settings/Language", "settings/Parity"}),
      style("records_side_by_side_with_gaps_in_their_numbers",
            {{"LIST.PRN",
              "MACHINE PARAMETERS\r\nNR        VALUE   NR        VALUE\r\n"
              "P0001        50   P0086        10\r\nP0002   381.471   P0087    -6.522\r\n"
              "P0004         0   P0091         2\r\nP0009        -1   P0092      3000\r\n"}},
            {"parameters/{P0001,P0002,P0004,P0009,P0086,P0087,P0091,P0092}"},
            {{"parameters/P0087", "-6.522"}, {"parameters/P0092", "3000"}}),
      style("variables_side_by_side_some_empty",
            {{"MACRO.DAT",
              "MACRO VARIABLES\n#500=  -128.5793  #550=              #600=  -263.9300\n"
              "#501=             #551=  -879.1171  #601=\n#502=     3.5000  #552=     1.0000  #602=\n"}},
            {"variables/{500,502,551,552,600}"}, {{"variables/551", "-879.1171"}}),
      style("labels_without_a_value",
            {{"KANAL1.TXT", "VARIABLEN\nV201: 20.757\nV202: -34.421\nV203:\nV204:\nV205: 41.733\n"}},
            {"variables/{V201,V202,V205}"}, {{"variables/V202", "-34.421"}}),
      style("records_under_a_title_of_their_word",
            {{"WHEELS.TXT",
              "TOOL GRINDER  SERIAL TG 0611   ALL LENGTHS IN MM\nWHEEL DATA\n\nWHEEL 1\n"
              "   DIAMETER ........... 73.789\n   WIDTH .............. 24.405\n\nWHEEL 2\n"
              "   DIAMETER ........... 113.786\n   WIDTH .............. 20.100\n\nWHEEL 3\n"
              "   DIAMETER ........... 110.001\n   WIDTH .............. 24.321\n\nEND OF DATA\n"}},
            {"offsets/wheel/{1,2,3}/{DIAMETER,WIDTH}"}, {{"offsets/wheel/2/DIAMETER", "113.786"}}),
      style("names_with_numbers_in_them",
            {{"NARZ.PRN",
              "TABLICA NARZEDZI        NR FABR. W/118\n\nNARZ   NAZWA             DLUGOSC   SREDNICA\n"
              "T001   ROZWIERTAK 24     192.834     68.352\nT002   WIERTLO 79        147.867     55.595\n"
              "T003   GWINTOWNIK 40     225.002     83.408\nT004   FREZ 16           294.150     41.472\n"
              "\n                        - 1 -\n"}},
            {"offsets/tool/{T001,T002,T003,T004}/{nazwa,dlugosc,srednica}"},
            {{"offsets/tool/T004/nazwa", "FREZ 16"}, {"offsets/tool/T001/dlugosc", "192.834"}}, {"nazwa"}, 0,
            "W/118"),
      style("titles_of_two_lines",
            {{"TOOL.DAT",
              "PLANER MILL\n\n  TOOL    TOOL      LIFE    LIFE\n   NO    LENGTH     SET     USED\n"
              "    1    230.463     25      60\n    2    274.722     79      35\n    3    202.855     85     "
              " 16\n"}},
            {"offsets/tool/{1,2,3}/{tool-length,life-set,life-used}"}, {{"offsets/tool/2/life-used", "35"}}),
      style("remarks_behind_bits",
            {{"PARAM.LST",
              "PARAMETERS\n000: 00000010   ; lubrication\n001: 00000000   ; limits\n002: 10100011   ; "
              "spindle\n"}},
            {"parameters/{0,1,2}"}, {{"parameters/2", "10100011"}, {"parameters/0", "00000010"}},
            {"parameters/0", "parameters/1", "parameters/2"}),
      style("a_shift_of_all_zero_points",
            {{"ORIGIN.DAT",
              "DRILL TAP CENTER  S/N 00954  WORK ORIGINS  (INCH)\nORIGIN         X         Y         Z       "
              "  C\n"
              "------  --------  --------  --------  --------\nEXT      -4.5661   -0.0379   -7.3314\n"
              "G54      -0.0154   -0.8017   -1.7663   -5.9918\nG55      -2.9351   -1.7871   -0.3132\n"
              "G56      -4.5329   -2.4131   -8.6438\n--- END ---\n"}},
            {"offsets/work/{EXT,G55,G56}/{x,y,z}", "offsets/work/G54/{x,y,z,c}"},
            {{"offsets/work/EXT/z", "-7.3314"}}, {}, 0, "00954"),
      style("a_foot_that_begins_with_a_number",
            {{"PARAM.LST",
              "PARAMETER LISTING     S/N 4417\n\nNO.     DESCRIPTION            VALUE   UNIT\n"
              "------------------------------------------\n100     X RAPID TRAVERSE        1789   IPM\n"
              "101     Y RAPID TRAVERSE       166.4   -\n102     FEED CEILING            11.0   SEC\n"
              "103     JOG RATE LOW           397.7   RPM\n104     SPINDLE MAX LOW GEAR   337.6   SEC\n"
              "105     ORIENT SPEED         10.2397   RPM\n106     X BACKLASH             181.6   -\n"
              "107     X RAPID TRAVERSE 2      1523   -\n108     BAUD RATE 2            -5.31   CTS\n"
              "------------------------------------------\n9 PARAMETERS LISTED\n"}},
            {"parameters/{100,101,102,103,104,105,106,107,108}/{description,value,unit}"},
            {{"parameters/107/description", "X RAPID TRAVERSE 2"}, {"parameters/108/value", "-5.31"}},
            {"description", "unit"}, 0, "4417"),
      style(
          "titles_of_several_words",
          {{"SETUP.RPT",
            "TOOLS\nTOOL  POCKET    LENGTH  LIFE MIN  USED MIN\n   1       5    12.345        60        12\n"
            "   2       6     8.250        90        45\n   3       9     7.125        30         0\n"}},
          {"offsets/tool/{1,2,3}/{pocket,length,life-min,used-min}"}, {{"offsets/tool/2/used-min", "45"}}),
      style("settings_above_the_first_heading",
            {{"machine.cfg",
              "machine.units=inch\nmachine.name=Bridge mill\n# axis 1\naxis1.pid.p=47\naxis1.pid.i=-33.38\n"
              "# tools\ntool1.length=5.5\ntool1.radius=.25\n# fixtures\nfixture1.x=-1.5\nfixture1.y=2.25\n"}},
            {"settings/{machine.units,machine.name,axis1.pid.p,axis1.pid.i,tool1.length,tool1.radius,"
             "fixture1.x,fixture1.y}"},
            {{"settings/machine.name", "Bridge mill"}}, {"settings/machine.units", "settings/machine.name"}),
      style("codes_side_by_side_without_titles",
            {{"PARAM.LST",
              "ELENCO PARAMETRI      MATRICOLA 2217\nP003      534.157    P055        16259    P105     "
              "-35.7707\n"
              "P004        10870    P056      27.6312    P106            3\n"
              "P005            6    P057      48.5132    P109            6\n"}},
            {"parameters/{P003,P004,P005,P055,P056,P057,P105,P106,P109}"}, {{"parameters/P105", "-35.7707"}},
            {}, 0, "2217"),
      style("words_behind_a_code",
            {{"BANDE.TAP",
              "JAUGES OUTILS\nD01 X+12.5 Z+3.25\nD02 X+10.5 Z+1.25\nFIN JAUGES\n\nDECALAGES\n"
              "DEC1 X+3.863 Z-228.768\nDEC2 X+1.311 Z-288.108\nFIN "
              "DECALAGES\n\nVARIABLES\nL1=12.5\nL2=0\nL3=-1\n"
              "FIN VARIABLES\n"}},
            {"offsets/tool/{DEC1,DEC2}/{x,z}", "offsets/tool-D/{1,2}/{X,Z}", "variables/{L1,L2,L3}"},
            {{"offsets/tool/DEC1/z", "-228.768"}}),
      style("words_before_numbers_and_remarks_behind",
            {{"MASCHDAT.TXT",
              "MASCHINENDATEN  Maschine-Nr.: 88-0417\n\nMD  101 =        1   ; Referenzpunkt\n"
              "MD  102 =     4000   ; Eilgang\nMD  103 =   -0.012   ; Umkehrspiel\n"}},
            {"parameters/{101,102,103}"}, {{"parameters/103", "-0.012"}}, {}, 0, "88-0417"),
      style("numbers_without_a_point_where_no_file_tells_the_units",
            {{"OFFSETS.TXT", "D01 +173352\nD02 +052596\nD03 +178741\nD04 +238018\n"}},
            {"offsets/{D01,D02,D03,D04}"}, {{"offsets/D01", "173352"}}),
  };
}

std::vector<BackupStyle> programs() {
  const std::string rows = "NO  LENGTH  RADIUS\n 1  120.500  6.000\n 2  98.020  4.250\n";
  const std::vector<std::string> tools = {"offsets/tool/{1,2}/{length,radius}"};
  const auto beside_tools = [&](std::string name, std::vector<std::pair<std::string, std::string>> files,
                                std::size_t count, std::vector<std::string> others = {}) {
    files.emplace_back("TOOLS.TXT", rows);
    others.insert(others.end(), tools.begin(), tools.end());
    return style(std::move(name), std::move(files), others, {}, {}, count);
  };
  return {
      beside_tools("in_words_of_its_own",
                   {{"GEAR031.PGM",
                     "BEGIN PROGRAM 31\nGEAR SPUR TEETH 73 MODULE 3.0\nPASS 1 HOB 2\n"
                     "  APPROACH RADIAL TO A 21.355 FEED 1.31\n  SHIFT 1.39\n  RETRACT\nEND PROGRAM 31\n"},
                    {"GEAR032.PGM",
                     "BEGIN PROGRAM 32\nGEAR SPUR TEETH 20 MODULE 2.5\nPASS 1 HOB 9\n"
                     "  CUT AXIAL FROM Z 6.37 TO Z 95.02 FEED 1.62 CLIMB\n  RETRACT\nEND PROGRAM 32\n"}},
                   2),
      beside_tools("between_the_same_words",
                   {{"P12.PRT",
                     "PART 12 \"BRACKET\" UNITS INCH\n10 LINE X 1.5 Y 2.5\n20 DRILL DEPTH .5 FEED 4\n"
                     "END PART\n"},
                    {"1585.H0",
                     "BEGIN PGM 1585 INCH\n1 VERKTYG 33 VARVTAL 700\n2 LINJE X+28.2 Y+17.5 F56\n"
                     "END PGM\n"}},
                   2),
      beside_tools("with_names_behind_their_numbers",
                   {{"PROG.LST",
                     "PROGRAMMA 9046   plaat\nN1 G90 G17 G40\nN2 G1 X10. F200\nN3 M30\nEINDE PROGRAMMA\n\n"
                     "PROGRAMMA 9117   steun\nN1 G90 G17 G40\nN2 G1 Y10. F200\nN3 M30\nEINDE PROGRAMMA\n"}},
                   2),
      beside_tools("called_by_another_letter",
                   {{"TAPE1.PTP",
                     "%\nL01\nN001G90G17\nN002G01X-34016Y3500F550\nN003M02\nL02\nN001G90G17\n"
                     "N002G00Y-3212X34397\nN003M02\n%\n"}},
                   2),
      beside_tools("of_positions_alone",
                   {{"2548.PCH",
                     "(2548 PANEL)\nG92 X72. Y50.\nX65.608 Y22.855 T27\nX54.379 Y34.681 T41\n"
                     "X17.150 Y8.612 T12\nG50\n"},
                    {"3343.PCH",
                     "(3343 PANEL)\nG92 X72. Y50.\nX41.253 Y3.427 T4\nX50.421 Y45.985 T29\n"
                     "X31.730 Y20.648 T19\nG50\n"}},
                   2),
      beside_tools("under_headings_that_name_them",
                   {{"DUMP.TXT",
                     "$DUMP V2  JIG BORER  S/N 77-1402\n$PARAMETERS\nA001 +000000000\nA002 -000000428\n"
                     "A003 -000000359\n$SUM B160\n$END\n$PROGRAM 11\nN10G90G17\nN20G0X+64400Y+49430\nN30M2\n"
                     "$SUM 2F72\n$END\n$PROGRAM 15\nN10G90G80\nN20G0X+100\nN30M2\n$SUM 1777\n$END\n$EOF\n"}},
                   2, {"parameters/{A001,A002,A003}"}),
      beside_tools(
          "between_stars",
          {{"W7731.BAK",
            "*** CONSTANTS ***\nC1 = 12.5\nC2 = 0\nC3 = -1\n*** PROGRAM 100 ***\nN10 G90 G17\nN20 G0 X1.\n"
            "N30 M30\n\n*** PROGRAM 150 ***\nN10 G90\nN20 G1 Y2. F100\nN30 M02\n*** END OF BACKUP ***\n"}},
          2, {"parameters/{C1,C2,C3}"}),
      beside_tools("with_feet_behind_the_last",
                   {{"DUMP.TXT",
                     "O0005\nN001G90G17\nN002G01X5.1660F420\nN003M30\nO0006\nN001G90\n"
                     "N002G01X1.F300\nN003M30\n\n:END\nCHECKSUM 7F3A\n"}},
                   2),
      beside_tools("beside_a_log_and_a_note",
                   {{"O1.NC", "O1\nG0 X1.\nM30\n"},
                    {"EVENTS.LOG",
                     "1996-08-02 07:01:12 start of control, build 214\n"
                     "1996-08-02 07:58:47 cycle start\n1996-08-02 08:10:24 cycle start\n"
                     "1996-08-02 08:18:33 servo on\n1996-08-02 08:31:11 door opened\n"},
                    {"README.TXT",
                     "All dimensions in inch. Saved for the service visit by the night shift.\n"
                     "Please do not load the parameters before the axes are home!\n"}},
                   1),
  };
}

class SurveyStyleLists : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleLists, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleLists, testing::ValuesIn(joined({tables(), programs()})),
                         style_name);

Survey proposed(const std::string& name, const std::string& text) {
  return survey({{name, text}}, "");
}

TEST(SurveyTold, UnitsAreWhatASettingAHeadingOrTheValuesSay) {
  EXPECT_EQ(proposed("A.INI", "[SYSTEM]\nUnit=mm\nAxes=3\nBaud=9600\n").units, Units::mm);
  EXPECT_EQ(proposed("A.TXT", "KORREKTUREN [mm]\n 1  2.5\n 2  3.5\n").units, Units::mm);
  EXPECT_EQ(
      proposed("A.TXT", "NO;NAME;VALUE;UNIT\n1;FEED;100;mm/min\n2;LENGTH;12.5;mm\n3;STROKE;9;mm\n").units,
      Units::mm);
  EXPECT_EQ(proposed("A.TXT", "Units: inch    Saved: 1992-12-17\n\nNO  LENGTH\n 1  2.5\n 2  3.5\n").units,
            Units::inch);
  EXPECT_EQ(proposed("T.TXT",
                     "NO  NAME        LENGTH\n 1  DRILL 8 MM  2.5\n 2  REAMER      3.5\n"
                     " 3  TAP         4.5\n 4  MILL        1.5\n 5  BORE        2.5\n")
                .units,
            std::nullopt)
      << "a drill's size is no unit of the table";
}

TEST(SurveyTold, TextInPairsOfBytesIsNoCyrillic) {
  // "参数" and seven more words in GB 2312, of which no ISO 8859-5 text is made.
  const std::string text =
      "// \xb2\xce\xca\xfd\n1 2.5 ; \xcb\xd9\xb6\xc8\n2 3.5 ; \xc8\xed\xcf\xde\xce\xbb\n3 4.5 ; "
      "\xc1\xe3\xb5\xe3\n4 5.5 ; \xd4\xf6\xd2\xe6\n5 6.5 ; \xbc\xe4\xcf\xb6\n6 7.5 ; \xb5\xb6\xbe\xdf\n7 8.5 "
      "; "
      "\xd6\xe1\n";
  EXPECT_NE(proposed("A.TXT", text).layout.find("encoding = \"GB2312\""), std::string::npos);
}

TEST(SurveyTold, ATableOfProgramsIsNoProgram) {
  const Survey found = proposed("COUNT.TXT", "PROGRAM COUNTERS\n1  250\n2  17\n3  0\nEND\n");
  EXPECT_NE(found.files.front().group, Group::programs) << found.layout;
}

TEST(SurveyTold, AStreamThatReadsAsOneProgramSaysSoWhereItNamesTables) {
  const Survey found =
      proposed("DUMP.TXT",
               "$DUMP V2\n$PARAMETERS\nA001 +000000000\nA002 -000000428\n$LENGTHS TOOLS\nH01 -012345\n"
               "H02 +012345\n$PROGRAM 11\nN10 G0 X1\nN20 M2\n$PROGRAM 12\nN10 G0 X2\nN20 M2\n");
  const bool said = std::any_of(found.files.begin(), found.files.end(), [](const SurveyedFile& file) {
    return std::any_of(file.guesses.begin(), file.guesses.end(), [](const Guess& guess) {
      return guess.what.find("$PARAMETERS") != std::string::npos;
    });
  });
  EXPECT_TRUE(said || found.files.size() > 1) << found.layout;
}

TEST(SurveyTold, SerialsAreNamedInManyLanguages) {
  const std::string rows = "\n 1  2.5\n 2  3.5\n";
  const auto serial = [&](const std::string& heading) { return proposed("A.TXT", heading + rows).serial; };
  EXPECT_EQ(serial("LANGDREHER   SERIENNUMMER: LD 416      BLATT 1"), "LD 416");
  EXPECT_EQ(serial("Bohrwerk 3, Maschinen-Nr. 20417"), "20417");
  EXPECT_EQ(serial("VAAKAKARAINEN   SARJANUMERO: HV-093"), "HV-093");
  EXPECT_EQ(serial("N\xc2\xb0 DE S\xc3\x89RIE: P118"), "P118");
  EXPECT_EQ(serial("N\xb0 DE S\x90RIE: P118"), "P118") << "in code page 850";
  EXPECT_EQ(serial("PLANER MILL  SER.NR. PM 12-664  METRIC"), "PM 12-664");
  EXPECT_EQ(serial("MACHINE NORTH 2208"), "");
  EXPECT_EQ(serial("SERIAL PORT 9600"), "");
}

// What is beside the forms above, and none of them.
TEST(SurveyNotTaken, NamesOfToolsAndPortsAreNoSerials) {
  EXPECT_EQ(proposed("A.TXT", "TOOL LIST\nT1 END MILL NO 4512 L 120.5\nT2 DRILL L 98.25\n").serial, "");
  EXPECT_EQ(proposed("A.TXT", "1 SERIAL COM 9600\n2 BAUD 4800\n").serial, "");
  EXPECT_EQ(proposed("A.TXT", "SERIAL NO. TG 0611\n 1  2.5\n 2  3.5\n").serial, "TG 0611");
}

TEST(SurveyNotTaken, RowsWithValuesAreNoFeetOrHeadings) {
  const Survey found = proposed(
      "A.TXT",
      "P1=4000\nP2=12\nMACHINE ZERO X 412.5\nP3=7\nCONTROL VOLTAGE 24.5\nP4=8\nP5=9\nP6=1\nP7=2\nP8=3\n"
      "END STOP X 400.5\n");
  EXPECT_EQ(found.files.front().unread, 3U) << found.layout;
  EXPECT_EQ(found.layout.find("skip"), std::string::npos) << found.layout;
}

TEST(SurveyNotTaken, MessagesAndTimedValuesAreNoNoteOrLog) {
  const Survey messages = proposed("MSG.TXT",
                                   "1 Spindle drive fault.\n2 Coolant level low.\n3 Door not closed.\n"
                                   "4 Chuck pressure missing.\n5 Lubrication pump failed.\n");
  EXPECT_EQ(messages.files.front().items, 5U) << messages.layout;
  std::string times;
  for (int i = 1; i < 7; ++i)
    times += "05.03.1998 06:5" + std::to_string(i) + " " + std::to_string(i) + " 120.5\n";
  EXPECT_GT(proposed("TIMES.TXT", times).files.front().items, 0U);
}

TEST(SurveyNotTaken, AThingOfSixInchesIsNoUnit) {
  EXPECT_EQ(
      proposed("A.TXT", "(6 INCH CHUCK FITTED)\nT1 X120.500 Z55.250 R0.8\nT2 X98.250 Z45.100 R0.4\n").units,
      std::nullopt);
  EXPECT_EQ(proposed("A.TXT", "BATTERY 3.6 V, 6-INCH CHUCK\nP1=400.25\nP2=1\n").units, std::nullopt);
}

TEST(SurveyNotTaken, WordsOfAMacroNameNoProgram) {
  const Survey found = proposed("A.NC", "%\nO100\nWHILE[#1LT5]DO1\n#1=#1+1\nEND1\nG1X1F100\nM30\n%\n");
  EXPECT_EQ(found.files.front().items, 1U) << found.layout;
}

TEST(SurveyNotTaken, ZeroPointsWithoutKeysAreNoProgram) {
  const Survey found = proposed("A.TXT",
                                "WORK ZERO POINTS\nX65.608 Y22.855 Z1.5\nX66.608 Y22.855 Z1.5\n"
                                "X67.608 Y22.855 Z1.5\nX68.608 Y22.855 Z1.5\n");
  EXPECT_NE(found.files.front().group, Group::programs) << found.layout;
}

TEST(SurveyNotTaken, TablesOfProgramsWithAnEndAreNoPrograms) {
  for (const char* heading : {"PROGRAMMABLE LIMITS", "PROGRAM PARAMETERS", "PROGRAM OFFSETS"}) {
    const Survey found =
        proposed("OFFSETS.TXT", std::string(heading) + "\n1  250.5\n2  17.25\n3  0.5\nEND\n");
    EXPECT_NE(found.files.front().group, Group::programs) << found.layout;
  }
}

}  // namespace
}  // namespace keepway::test
