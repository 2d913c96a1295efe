// Whole backups of invented controls of small shops: several files each, in many languages and forms.
#include "survey_styles.hpp"

namespace keepway::test {
namespace {

using namespace std::string_literals;

std::vector<BackupStyle> styles() {
  return {
      style(
          "tape_brackets",
          {{"DUMP.TAP",
            "\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000%\r\r\n[PAR]\r\r\nP1=4000\r\r\nP2=-12\r\r\nP3=00010110\r\r\nP20=0\r\r\n[OFS]\r\r\nH1=+120.500\r\r\nH2=+098.020\r\r\nH3=-000.500\r\r\n[VAR]\r\r\n#1=12.5\r\r\n#2=\r\r\n#100=-0.25\r\r\n#101=0\r\r\n[PRG]\r\r\nO0100(PLATE 4 HOLES)\r\r\nN10G21G90\r\r\nN20G0X0Y0\r\r\nN30M98P200\r\r\nN40M30\r\r\nO0200\r\r\nN10G1X5.F100.\r\r\nN20M99\r\r\n%\r\r\n\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000\000"s}},
          {"parameters/{P1,P2,P3,P20}", "offsets/{H1,H2,H3}", "variables/{1,100,101}"},
          {{"offsets/H3", "-0.5"},
           {"variables/100", "-0.25"},
           {"parameters/P1", "4000"},
           {"parameters/P3", "00010110"},
           {"variables/101", "0"}},
          {"parameters/P3"}, 2, ""),
      style("german_lathe_geo_wear",
            {{"KORR.LST",
              "Drehmaschine Werkstatt S\201d          Datum 14.11.1997  Zeit 07:42     Seite "
              "1\r\n\r\nWERKZEUGKORREKTUR GEOMETRIE\r\n\r\n  Nr.         X           Z          R     "
              "Lage\r\n -----------------------------------------------\r\n   1    -140,509    -136,731     "
              "0,400      1\r\n   2    -107,511    -118,824     0,800      2\r\n   3     -43,570    -280,341 "
              "    0,400      3\r\n   4    -196,708     -48,759     0,800      4\r\n   5    -135,161    "
              "-229,701     0,400      5\r\n   6      48,911    -158,921     0,800      "
              "6\r\n\r\n\fDrehmaschine Werkstatt S\201d          Datum 14.11.1997  Zeit 07:42     Seite "
              "2\r\n\r\nWERKZEUGKORREKTUR GEOMETRIE\r\n\r\n  Nr.         X           Z          R     "
              "Lage\r\n -----------------------------------------------\r\n   7       9,115    -157,094     "
              "0,400      7\r\n   8     -40,233    -254,815     0,800      8\r\n   9     -41,285     -39,586 "
              "    0,400      0\r\n  10     -69,205     -77,624     0,800      1\r\n  11     -32,147    "
              "-280,791     0,400      2\r\n  12     -10,442    -122,670     0,800      "
              "3\r\n\r\n\fDrehmaschine Werkstatt S\201d          Datum 14.11.1997  Zeit 07:42     Seite "
              "3\r\n\r\nWERKZEUGKORREKTUR VERSCHLEI\341\r\n\r\n  Nr.         X           Z          R     "
              "Lage\r\n -----------------------------------------------\r\n   1      -0,079      -0,188     "
              "0,000      0\r\n   2       0,146      -0,011     0,000      0\r\n   3       0,088       0,152 "
              "    0,000      0\r\n   4       0,086       0,168     0,000      0\r\n   5      -0,042       "
              "0,120     0,000      0\r\n   6      -0,022       0,174     0,000      0\r\n\r\n\fDrehmaschine "
              "Werkstatt S\201d          Datum 14.11.1997  Zeit 07:42     Seite 4\r\n\r\nWERKZEUGKORREKTUR "
              "VERSCHLEI\341\r\n\r\n  Nr.         X           Z          R     Lage\r\n "
              "-----------------------------------------------\r\n   7       0,152      -0,161     0,000     "
              " 0\r\n   8      -0,146      -0,113     0,000      0\r\n   9       0,186      -0,026     0,000 "
              "     0\r\n  10       0,051      -0,080     0,000      0\r\n  11       0,003      -0,046     "
              "0,000      0\r\n  12      -0,060       0,034     0,000      0\r\n\r\n\f\r\n"},
             {"MASCH.LST",
              "Drehmaschine Werkstatt S\201d          Datum 14.11.1997  Zeit 07:44     Seite "
              "1\r\n\r\nMASCHINENDATEN\r\n\r\n  Nr.   Bezeichnung                    Wert     Einheit\r\n "
              "------------------------------------------------------\r\n  100   Eilgang X                   "
              "   6000     mm/min\r\n  101   Eilgang Z                      8000     mm/min\r\n  110   "
              "H\224chstdrehzahl                 3500     1/min\r\n  111   K\201hlmittel Nachlauf            "
              " 2,5     s\r\n  120   Umkehrspiel X                 0,008     mm\r\n  121   Umkehrspiel Z     "
              "           -0,004     mm\r\n ------------------------------------------------------\r\n Ende "
              "der Liste\r\n"},
             {"P4711.NC",
              "%\r\nO4711 (B\232CHSE)\r\nG90 G95\r\nT0101\r\nG0 X42. Z2.\r\nG1 Z-30. F0.2\r\nM30\r\n%\r\n"},
             {"P4712.NC", "%\r\nO4712\r\nG90\r\nM99\r\n%\r\n"}},
            {"parameters/{100,101,110,111,120,121}/{bezeichnung,einheit,wert}",
             "offsets/werkzeugkorrektur/GEOMETRIE/tool/{1,2,3,4,5,6,7,8,9,10,11,12}/{lage,r,x,z}",
             "offsets/werkzeugkorrektur/VERSCHLEI\303\237/tool/{1,2,3,4,5,6,7,8,9,10,11,12}/{lage,r,x,z}"},
            {{"parameters/121/wert", "-0.004"},
             {"parameters/110/bezeichnung", "H\303\266chstdrehzahl"},
             {"parameters/100/bezeichnung", "Eilgang X"},
             {"offsets/werkzeugkorrektur/VERSCHLEI\303\237/tool/12/z", "0.034"}},
            {"bezeichnung", "einheit"}, 2, ""),
      style("danish_keys",
            {{"maskindata.txt",
              "# Fr\346semaskine 2, gemt 3. maj\n# serienummer: FM2-0817\nspindel.maks = 4500        # "
              "omdr/min\nspindel.min = 60           # omdr/min\nakse.x.vandring = 620,5    # "
              "mm\nakse.y.vandring = 400,0    # mm\nakse.x.sl\370r = 0,012        # mm\nk\370ling = "
              "til\nsprog = dansk\n"},
             {"nulpunkter.txt",
              "# Fr\346semaskine 2, gemt 3. maj\nG54.X = -300,500\nG54.Y = -122,250\nG54.Z = -410,000\nG55.X "
              "= 0,000\nG55.Y = 0,000\nG55.Z = 0,000\nG56.X = 12,5\nG56.Y = -7,25\nG56.Z = 0,000\n"},
             {"v\303\246rkt\303\270j.txt",
              "# Fr\346semaskine 2, gemt 3. "
              "maj\nnr;navn;l\346ngde;diameter;sk\346r\n1;Planfr\346ser;120,5;63;5\n2;Bor "
              "8,5;98,02;8,5;2\n3;Anborer;75,25;10;2\n12;M\345lespids;-0,5;0;0\n"}},
            {"parameters/"
             "{akse.x.sl\303\270r,akse.x.vandring,akse.y.vandring,k\303\270ling,spindel.maks,spindel.min,"
             "sprog}",
             "offsets/{G54.X,G54.Y,G54.Z,G55.X,G55.Y,G55.Z,G56.X,G56.Y,G56.Z}",
             "offsets/tool/{1,2,3,12}/{diameter,laengde,navn,skaer}"},
            {{"offsets/G54.X", "-300.5"},
             {"offsets/tool/2/navn", "Bor 8,5"},
             {"parameters/akse.x.sl\303\270r", "0.012"},
             {"offsets/tool/12/skaer", "0"}},
            {"navn", "parameters/køling", "parameters/sprog"}, 0, "FM2-0817"),
      style("fixed_tools_names",
            {{"TOOLS.FIX",
              "T001+0120.5000+006.0000 0 FACE MILL 12\r\nT002+0098.0200+004.2500 0 DRILL "
              "8.5\r\nT003+0075.2500+000.0000 1 SPOT DRILL\r\nT004-0000.5000+000.0000 0 "
              "PROBE\r\nT031+0200.0000+031.5000 1 SHELL MILL\r\n"},
             {"WORK.FIX",
              "G54X-0300.5000Y-0122.2500Z-0410.0000\r\nG55X+0000.0000Y+0000.0000Z+0000.0000\r\nG56X+0012."
              "5000Y-0007.2500Z+0000.0000\r\n"},
             {"PARM.FIX",
              "0001 0000004000 RAPID X\r\n0002 0000004000 RAPID Y\r\n0003 0000003000 RAPID Z\r\n0010 "
              "-000000012 BACKLASH X\r\n0011 -000000008 BACKLASH Y\r\n0200 0000009600 LINE SPEED\r\n"},
             {"PROG1", "%\r\n:100\r\nG21G90\r\nG0X0Y0\r\nM30\r\n%\r\n"},
             {"PROG2", "%\r\n:101\r\nG91\r\nG1X5.F100\r\nM30\r\n%\r\n"}},
            {"parameters/{1,2,3,10,11,200}/{name,value}",
             "offsets/tool/{T001,T002,T003,T004,T031}/{c2,c3,c4,note}", "offsets/work/{G54,G55,G56}/{X,Y,Z}"},
            {{"parameters/10/value", "-12"},
             {"offsets/work/G54/X", "-300.5"},
             {"parameters/1/name", "RAPID X"},
             {"offsets/work/G56/Z", "0"}},
            {"name", "note"}, 2, ""),
      style("russian_866",
            {{"KORR.TXT",
              "\224\220\205\207\205\220\215\233\211 \221\222\200\215\216\212  N 0412            "
              "\213\210\221\222 1\r\n\r\n\212\216\220\220\205\212\222\216\220\233 "
              "\210\215\221\222\220\223\214\205\215\222\200\r\n\r\n N      \204\213\210\215\200     "
              "\220\200\204\210\223\221\r\n 1    120.500      6.000\r\n 2     98.020      4.250\r\n 3     "
              "-0.500      0.000\r\n 4      0.000      0.000\r\n"},
             {"NULI.TXT",
              "\224\220\205\207\205\220\215\233\211 \221\222\200\215\216\212  N 0412            "
              "\213\210\221\222 1\r\n\r\n\215\223\213\205\202\233\205 \222\216\227\212\210\r\n\r\n           "
              " X          Y          Z\r\n G54  -300.500   -122.250   -410.000\r\n G55     0.000      0.000 "
              "     0.000\r\n G56    12.500     -7.250      0.000\r\n"},
             {"PARAM.TXT",
              "\224\220\205\207\205\220\215\233\211 \221\222\200\215\216\212  N 0412            "
              "\213\210\221\222 1\r\n\r\n\217\200\220\200\214\205\222\220\233\r\n\r\n 100  "
              "\221\252\256\340\256\341\342\354 X        4000\r\n 101  \221\252\256\340\256\341\342\354 Y    "
              "    4000\r\n 110  \213\356\344\342 X           0.012\r\n 111  \213\356\344\342 Y          "
              "-0.008\r\n"}},
            {"parameters/{100,101,110,111}/{name,value}", "offsets/tool/{1,2,3,4}/{dlina,radius}",
             "offsets/work/{G54,G55,G56}/{x,y,z}"},
            {{"parameters/111/value", "-0.008"},
             {"parameters/100/name", "\320\241\320\272\320\276\321\200\320\276\321\201\321\202\321\214 X"},
             {"offsets/work/G56/z", "0"}},
            {"name"}, 0, ""),
      style("named_programs_and_names",
            {{"PARTS.TXT",
              "PROGRAM PLATE-4\r\nN10 G90 G21\r\nN20 G0 X0 Y0\r\nN30 CALL RING\r\nN40 M30\r\nPROGRAM "
              "RING\r\nN10 G91\r\nN20 G1 X5. F100.\r\nN30 M99\r\nPROGRAM COVER\r\nN10 G90\r\nN20 M30\r\n"},
             {"SETUP.TXT",
              "SETUP OF KNEE MILL 2 ON 12 MAY 1993 AT 06:55\r\n\r\nRAPID RATE X           5000\r\nRAPID RATE "
              "Y           5000\r\nJOG RATE                500\r\nSPINDLE OVERRIDE        100\r\nBACKLASH X  "
              "          .0012\r\nBACKLASH Y           -.0004\r\nMIRROR X                OFF\r\nUNITS        "
              "          INCH\r\n"},
             {"TOOLS.TXT",
              "TOOLS OF KNEE MILL 2 ON 12 MAY 1993 AT 06:56\r\n\r\nTOOL   LENGTH     DIAM    KIND\r\n   1   "
              "4.7450    .5000    MILL\r\n   2   3.8590    .3346    DRILL\r\n   3  -0.0200    .0000    "
              "PROBE\r\n   9   2.9630    .2500    TAP\r\n"}},
            {"settings/{BACKLASH X,BACKLASH Y,JOG RATE,MIRROR X,RAPID RATE X,RAPID RATE Y,SPINDLE "
             "OVERRIDE,UNITS}",
             "offsets/tool/{1,2,3,9}/{diam,kind,length}"},
            {{"settings/BACKLASH Y", "-0.0004"},
             {"offsets/tool/3/length", "-0.02"},
             {"settings/BACKLASH X", "0.0012"},
             {"offsets/tool/9/length", "2.963"}},
            {"MIRROR X", "UNITS", "kind"}, 3, ""),
      style(
          "hex_bytes",
          {{"PARAMS.HEX",
            "PARAMETER MEMORY   GRINDER 3   SERIAL 30-2217\r\n\r\nADDR   B0   B1   B2   B3\r\n0000   00   1F "
            "  A0   07\r\n0004   FF   00   00   10\r\n0008   0C   80   3E   00\r\n000C   00   00   00   "
            "01\r\n"},
           {"OFFSETS.LST",
            "WHEEL OFFSETS      GRINDER 3   SERIAL 30-2217\r\n\r\nWHEEL      X         Z       DIA\r\n  1    "
            " -0.0150    0.0200   400.00\r\n  2      0.0000    0.0000   350.00\r\n  3      1.2500   -0.7500  "
            " 300.50\r\n"},
           {"CYCLE.NC", "O1(PLUNGE)\r\nG90\r\nG0X0.\r\nG1X-.5F.2\r\nM30\r\nO2(TRAVERSE)\r\nG91\r\nM99\r\n"}},
          {"parameters/{0,000C,4,8}/{b0,b1,b2,b3}", "offsets/tool/{1,2,3}/{dia,x,z}"},
          {{"offsets/tool/1/x", "-0.015"}, {"parameters/0/b0", "00"}, {"offsets/tool/3/z", "-0.75"}},
          {"b0", "b1", "b2", "b3"}, 2, "30-2217"),
      style("variables_empty",
            {{"VARS.PRN",
              "*********** MACRO VARIABLES ***********  04/17/95 14:20\r\n\r\n #100        12.5000\r\n #101  "
              "      EMPTY\r\n #102        -0.2500\r\n #103        EMPTY\r\n #104         0.0000\r\n #500    "
              "  4000.0000\r\n #501        EMPTY\r\n #502         1.0000\r\n\r\n*********** WORK OFFSETS "
              "**************  04/17/95 14:20\r\n\r\n AXIS        G54        G55        G56\r\n X      "
              "-12.5000     0.0000     1.2500\r\n Y       -5.1250     0.0000    -3.0000\r\n Z      -16.0000  "
              "   0.0000     0.0000\r\n"},
             {"TOOLS.PRN",
              "*********** TOOL OFFSETS **************  04/17/95 14:21\r\n\r\n TOOL   H GEOM     H WEAR     "
              "D GEOM     D WEAR\r\n   1    4.7450    -0.0010     0.5000     0.0000\r\n   2    3.8590     "
              "0.0000     0.3346    -0.0002\r\n   3    0.0000     0.0000     0.0000     0.0000\r\n   4   "
              "-0.0200     0.0000     0.0000     0.0000\r\n"},
             {"O1000.NC", "%\r\nO1000\r\nG20G90\r\n#100=12.5\r\nG0X#100\r\nM30\r\n%\r\n"}},
            {"offsets/tool/{1,2,3,4}/{d-geom,d-wear,h-geom,h-wear}", "offsets/work/{X,Y,Z}/{g54,g55,g56}",
             "variables/{100,101,102,103,104,500,501,502}"},
            {{"offsets/tool/2/d-wear", "-0.0002"}, {"offsets/tool/1/d-geom", "0.5"}, {"variables/502", "1."}},
            {"101", "103", "501"}, 1, ""),
      style("side_by_side_bars",
            {{"PARAM.PRN",
              "PARAMETER LIST            MILL 11      PAGE 1/2\r\n\r\n NO.       DATA       |  NO.       "
              "DATA\r\n----------------------+----------------------\r\n 0000         60000   |  0012        "
              "   -12\r\n 0001          9600   |  0013         60000\r\n 0002           255   |  0014        "
              "    -3\r\n 0003           -12   |  0015           -12\r\n 0004           -12   |  0016        "
              "   -12\r\n 0005             0   |  0017          4000\r\n 0006          9600   |  0018        "
              "     0\r\n 0007         60000   |  0019             1\r\n 0008             1   |  0020        "
              "   -12\r\n 0009          9600   |  0021             1\r\n 0010             0   |  0022        "
              "    -3\r\n 0011            -3   |  0023             1\r\n\r\n\fPARAMETER LIST            MILL "
              "11      PAGE 2/2\r\n\r\n NO.       DATA       |  NO.       "
              "DATA\r\n----------------------+----------------------\r\n 0100             0   |  0112        "
              "  9600\r\n 0101             0   |  0113          9600\r\n 0102            -3   |  0114        "
              "   -12\r\n 0103            -3   |  0115           255\r\n 0104         60000   |  0116        "
              "   -12\r\n 0105          9600   |  0117           255\r\n 0106          4000   |  0118        "
              "     0\r\n 0107             1   |  0119             0\r\n 0108            -3   |  0120        "
              "   -12\r\n 0109          4000   |  0121           255\r\n 0110             1   |  0122        "
              "   -12\r\n 0111            -3   |  0123             1\r\n"},
             {"OFFSET.PRN",
              "OFFSET LIST               MILL 11      PAGE 1/1\r\n\r\n NO.       DATA       |  NO.       "
              "DATA\r\n----------------------+----------------------\r\n H01      120.500     |  D01        "
              "6.000\r\n H02       98.020     |  D02        4.250\r\n H03       -0.500     |  D03        "
              "0.000\r\n H04        0.000     |  D04        0.000\r\n"}},
            {"parameters/"
             "{0,1,2,3,4,5,6,7,8,9,10,11,12,13,14,15,16,17,18,19,20,21,22,23,100,101,102,103,104,105,106,107,"
             "108,109,110,111,112,113,114,115,116,117,118,119,120,121,122,123}",
             "offsets/{D01,D02,D03,D04,H01,H02,H03,H04}"},
            {{"parameters/1", "9600"}, {"parameters/0", "60000"}, {"offsets/H04", "0"}}, {}, 0, ""),
      style("pallets_and_sets",
            {{"NULLP.DAT",
              "; zero points, cell 2, saved 2001-04-09\nPALLET 1\nG54 X-300.500 Y-122.250 Z-410.000 "
              "B0.000\nG55 X-100.000 Y-122.250 Z-410.000 B90.000\nG56 X0.000 Y0.000 Z0.000 B180.000\nPALLET "
              "2\nG54 X-299.985 Y-122.180 Z-409.950 B0.000\nG55 X-99.500 Y-122.180 Z-409.950 B90.000\nG56 "
              "X0.000 Y0.000 Z0.000 B180.000\n"},
             {"WERK.DAT",
              "; tools, cell 2, saved 2001-04-09\nT1 L120.500 R6.000 W0.010 ; face mill\nT2 L98.020 R4.250 "
              "W0.000 ; drill\nT12 L-0.500 R0.000 W-0.005\nT40 L0.000 R0.000 W0.000\n"},
             {"RPAR.DAT", "; cells, cell 2, saved 2001-04-09\nR0 12.5\nR1 -0.25\nR2 0\nR99 4000\n"},
             {"MAIN.MPG", "; main program\nN10 G54 G90\nN20 T1 M6\nN30 L100\nN40 M30\n"},
             {"L100.SPG", "; drill ring\nN10 G91\nN20 G1 X5 F100\nN30 M99\n"}},
            {"offsets/pallet/1/work/{G54,G55,G56}/{B,X,Y,Z}", "offsets/pallet/2/work/{G54,G55,G56}/{B,X,Y,Z}",
             "offsets/tool/{1,2,12,40}/{L,R,W}", "variables/{R0,R1,R2,R99}"},
            {{"offsets/tool/12/W", "-0.005"},
             {"variables/R1", "-0.25"},
             {"offsets/pallet/1/work/G54/B", "0"},
             {"variables/R99", "4000"}},
            {}, 2, ""),
      style("parts_without_endings",
            {{"M12/PARA1", "MACHINE 12 PARAMETERS 1-3\n1 = 4000\n2 = 4500\n3 = -12\n"},
             {"M12/PARA2", "MACHINE 12 PARAMETERS 4-6\n4 = 0\n5 = 255\n6 = 0.25\n"},
             {"M12/PARA3", "MACHINE 12 PARAMETERS 100-102\n100 = 1\n101 = 0\n102 = -7\n"},
             {"M12/TURRET1",
              "MACHINE 12 TURRET 1\nNO X Z R\n1 -12.500 -120.250 0.8\n2 10.000 -98.000 0.4\n3 0.000 0.000 "
              "0.0\n"},
             {"M12/TURRET2",
              "MACHINE 12 TURRET 2\nNO X Z R\n1 -11.250 -119.000 0.8\n2 9.500 -97.125 0.4\n3 0.000 0.000 "
              "0.0\n"},
             {"M12/PROG01", "O0010\nG90\nG0X0Z0\nM30\n"},
             {"M12/PROG02", "O0011\nG90\nG0X5Z0\nM30\n"},
             {"M12/MACRO", "MACHINE 12 MACRO VALUES\nV1 = 0.5\nV2 = -3\nV3 = EMPTY\nV10 = 7.25\n"}},
            {"parameters/{1,2,3,4,5,6,100,101,102}", "offsets/turret1/tool/{1,2,3}/{r,x,z}",
             "offsets/turret2/tool/{1,2,3}/{r,x,z}", "variables/{V1,V2,V3,V10}"},
            {{"parameters/102", "-7"},
             {"variables/V2", "-3"},
             {"parameters/1", "4000"},
             {"variables/V10", "7.25"}},
            {"variables/V3"}, 2, ""),
      style("csv_units_row",
            {{"tools.csv",
              "Tool,Description,Length,Diameter,Life,Active\n,,mm,mm,min,\n1,\"Face mill, 80 "
              "mm\",120.500,80.000,90,yes\n2,\"Drill "
              "8.5\",98.020,8.500,45,yes\n3,\"\",0.000,0.000,0,no\n4,\"Tap M8\",110.250,8.000,30,no\n"},
             {"work.csv",
              "System,X,Y,Z,C\n,mm,mm,mm,deg\nG54,-300.500,-122.250,-410.000,0.000\nG55,-100.000,-122.250,-"
              "410.000,90.000\nG56,0.000,0.000,0.000,0.000\n"},
             {"settings.csv",
              "Setting,Value\nLanguage,English\nUnits,mm\nScreen saver,300\nBeeper,off\nCoolant on "
              "start,yes\nFeed override max,120\n"},
             {"programs/PLATE.NC", "(PLATE)\nG21 G90\nG0 X0 Y0\nM30\n"},
             {"programs/RING.NC", "G21 G91\nG1 X5 F100\nM30\n"}},
            {"settings/{Beeper,Coolant on start,Feed override max,Language,Screen saver,Units}",
             "offsets/tool/{1,2,4}/{active,description,diameter,length,life}",
             "offsets/tool/3/{active,diameter,length,life}", "offsets/work/{G54,G55,G56}/{c,x,y,z}"},
            {{"settings/Beeper", "off"}, {"offsets/work/G55/c", "90."}, {"offsets/work/G56/z", "0"}},
            {"Beeper", "Coolant on start", "Language", "Units", "active", "description"}, 2, ""),
      style("czech_listing",
            {{"VYPIS.TXT",
              "V\335PIS PAM\314TI          SOUSTRUH 5          12. 3. 1998          STRANA "
              "1\r\n\r\nPARAMETRY\r\n\r\n\310\315SLO   BITY       HODNOTA\r\n0001    00010110      "
              "4000\r\n0002    00000000      4500\r\n0003    10000001       -12\r\n0010    11110000         "
              "0\r\n\r\nKOREKCE N\301STROJ\331\r\n\r\n        GEOMETRIE             OPOT\330EBEN\315\r\n T   "
              "   X         Z           X        Z\r\n 1    -12,500  -120,250    -0,020    0,015\r\n 2     "
              "10,000   -98,000     0,000   -0,030\r\n 3      0,000     0,000     0,000    "
              "0,000\r\n\r\nPROM\314NN\311\r\n\r\nV001 = 12,500\r\nV002 = -0,250\r\nV003 = "
              "0,000\r\n\r\nKONEC V\335PISU\r\n"}},
            {"parameters/{1,2,3,10}/{bity,hodnota}",
             "offsets/tool/{1,2,3}/{geometrie-x,geometrie-z,opotrebeni-x,opotrebeni-z}",
             "variables/{V1,V2,V3}"},
            {{"parameters/3/hodnota", "-12"}, {"parameters/1/bity", "00010110"}, {"variables/V3", "0"}},
            {"bity"}, 0, ""),
      style(
          "words_no_blanks",
          {{"01OFFS.TAP",
            "\000\000\000\000\000\000\000\000\000\000%\nT1H120.5D6.;\nT2H98.02D4.25;\nT3H-.5D0.;\nT20H0.D0.;\n%\n"s},
           {"02ZERO.TAP",
            "\000\000\000\000\000\000\000\000\000\000%\nG54X-300.5Y-122.25Z-410.;\nG55X0.Y0.Z0.;\nG59X1.5Y-2.5Z0.;\n%\n"s},
           {"03VARS.TAP",
            "\000\000\000\000\000\000\000\000\000\000%\n#100=12.5;\n#101=-.25;\n#102=;\n#500=4000.;\n%\n"s},
           {"04PARA.TAP",
            "\000\000\000\000\000\000\000\000\000\000%\nN0001V4000;\nN0002V-12;\nN0003V0;\nN0100V00000001;\n%\n"s},
           {"05PROG.TAP",
            "\000\000\000\000\000\000\000\000\000\000%\nO0001(TEST);\nG21G90;\nG0X0Y0;\nM30;\nO0002;\nM99;\n%\n"s}},
          {"parameters/{1,2,3,100}", "offsets/tool/{1,2,3,20}/{D,H}", "offsets/work/{G54,G55,G59}/{X,Y,Z}",
           "variables/{100,101,500}"},
          {{"offsets/tool/3/H", "-0.5"},
           {"parameters/2", "-12"},
           {"parameters/1", "4000"},
           {"variables/500", "4000."}},
          {}, 2, ""),
      style("axis_blocks_leaders",
            {{"AXES.DOC",
              "AXIS DATA                       PLANER 1           3 MAR 1991\n\nAXIS X\n   TRAVEL MAX (MM) "
              ".......... 3000.000\n   TRAVEL MIN (MM) ..........   -5.000\n   RAPID (MM/MIN) ...........    "
              "9000\n   BACKLASH (MM) ............    0.025\nAXIS Y\n   TRAVEL MAX (MM) .......... "
              "1200.000\n   TRAVEL MIN (MM) ..........   -2.500\n   RAPID (MM/MIN) ...........    9000\n   "
              "BACKLASH (MM) ............   -0.010\n"},
             {"SWITCH.DOC",
              "PANEL SWITCHES                  PLANER 1           3 MAR 1991\n\nBLOCK SKIP ................. "
              "ON\nOPTIONAL STOP .............. OFF\nDRY RUN .................... OFF\nCOOLANT "
              ".................... MIST\n"},
             {"TOOLS.DOC",
              "NAME\tNO\tLENGTH\tRADIUS\nFACE MILL 63\t1\t120.5\t31.5\nDRILL "
              "8.5\t2\t98.02\t4.25\nPROBE\t12\t-0.5\t0\n"}},
            {"settings/{BLOCK SKIP,COOLANT,DRY RUN,OPTIONAL STOP}",
             "parameters/axis/X/{BACKLASH,RAPID,TRAVEL MAX,TRAVEL MIN}/{unit,value}",
             "parameters/axis/Y/{BACKLASH,RAPID,TRAVEL MAX,TRAVEL MIN}/{unit,value}",
             "offsets/tool/{1,2,12}/{length,name,radius}"},
            {{"settings/COOLANT", "MIST"},
             {"offsets/tool/12/length", "-0.5"},
             {"settings/BLOCK SKIP", "ON"},
             {"offsets/tool/12/radius", "0"}},
            {"BLOCK SKIP", "COOLANT", "DRY RUN", "OPTIONAL STOP", "unit", "name"}, 0, ""),
      style(
          "listing_three_pages",
          {{"MEMORY.PRN",
            "Mill No. 7    Control memory    1 of 3    2 Feb "
            "2003\r\n============================================================\r\nParameters\r\n\r\n  No. "
            "  Name              Value\r\n    3   Lube time           4000\r\n    6   Spare                "
            "-12\r\n   11   Ramp                 -12\r\n   12   Door delay         0.012\r\n   15   Rapid Y  "
            "          620.5\r\n   45   Lube time              1\r\n   73   Lube time          0.012\r\n   "
            "79   Limit               4000\r\n  113   Rapid Y            0.012\r\n  114   Limit              "
            "    0\r\n  115   Lube time           4000\r\n  117   Door delay             0\r\n  122   Lube "
            "time          -5.25\r\n  130   Ramp               -5.25\r\n  133   Rapid X                0\r\n "
            " 146   Spare              0.012\r\n  152   Door delay          4000\r\n  155   Rapid Y          "
            "      1\r\n  159   Door delay           -12\r\n  172   Ramp                   1\r\n\r\n         "
            "                 -- 1 --\r\n\fMill No. 7    Control memory    2 of 3    2 Feb "
            "2003\r\n============================================================\r\nParameters\r\n\r\n  No. "
            "  Name              Value\r\n  186   Ramp                4000\r\n  210   Rapid X             "
            "4000\r\n  214   Ramp                4000\r\n  216   Spare                -12\r\n  229   Door "
            "delay           -12\r\n  234   Lube time              0\r\n  238   Rapid X                1\r\n "
            " 241   Lube time          620.5\r\n  247   Limit                -12\r\n  307   Spare            "
            "  620.5\r\n  309   Rapid Y            -5.25\r\n  311   Lube time              0\r\n  321   "
            "Spare                -12\r\n  324   Limit              -5.25\r\n  326   Ramp               "
            "-5.25\r\n  337   Rapid Y              -12\r\n  342   Spare                  0\r\n  361   Ramp   "
            "            -5.25\r\n  365   Rapid Y              -12\r\n  381   Lube time          "
            "620.5\r\n\r\n                          -- 2 --\r\n\fMill No. 7    Control memory    3 of 3    2 "
            "Feb 2003\r\n============================================================\r\nZero points\r\n\r\n "
            " Sys.      X          Y          Z\r\n  G54   -300.500   -122.250   -410.000\r\n  G55      "
            "0.000      0.000      0.000\r\n\r\nTools\r\n\r\n  T    Length    Radius   Text\r\n  1   120.500 "
            "    6.000   Face mill\r\n  2    98.020     4.250   Drill\r\n  3     0.000     0.000   -\r\n  4  "
            "  75.500     0.400   Tap\r\n\r\n                          -- 3 --\r\n"}},
          {"parameters/"
           "{3,6,11,12,15,45,73,79,113,114,115,117,122,130,133,146,152,155,159,172,186,210,214,216,229,234,"
           "238,241,247,307,309,311,321,324,326,337,342,361,365,381}/{name,value}",
           "offsets/tool/{1,2,3,4}/{length,radius,text}", "offsets/work/{G54,G55}/{x,y,z}"},
          {{"offsets/tool/4/text", "Tap"}, {"parameters/3/name", "Lube time"}, {"offsets/work/G55/z", "0"}},
          {"name", "text"}, 0, "")};
}

class SurveyStyleBackups : public testing::TestWithParam<BackupStyle> {};

TEST_P(SurveyStyleBackups, IsReadByTheProposalAlone) {
  expect_right(GetParam());
}

INSTANTIATE_TEST_SUITE_P(Styles, SurveyStyleBackups, testing::ValuesIn(styles()), style_name);

}  // namespace
}  // namespace keepway::test
