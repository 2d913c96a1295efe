// The built-in layout `rs274ngc` and its namebook: the files and the names of T. R. Kramer, F. M. Proctor,
// E. R. Messina, "The NIST RS274NGC Interpreter - Version 3", NISTIR 6556, August 2000.
#include "layout/builtin.hpp"

namespace keepway::layout {

const std::string_view rs274ngc_layout =
    R"toml(# Files as NISTIR 6556 has them (Kramer, Proctor, Messina: The NIST RS274NGC Interpreter - Version 3,
# August 2000). The report gives their form and no names: all file endings here are common practice, no source.
layout = 1
title = "RS274/NGC, files of NISTIR 6556"

# Parameter file: 3.2.1 and table 2.
[[source]]
group = "variables"
files = ["*.var"]
reader = "columns"
required = true
order = 2
point = "free"          # 3.3.2.1: a number is the same with and without a decimal point
comment = ";"
header = "blank"
repeats = "last"        # 2.3: of rows with one number the last counts
columns = [{ name = "number", kind = "whole" }, "value", "comment"]
address = "{number}"
fields = { value = "" }
ascending = true
must = ["5161-5166", "5181-5186", "5211-5216", "5220-5226", "5241-5246", "5261-5266", "5281-5286",
        "5301-5306", "5321-5326", "5341-5346", "5361-5366", "5381-5386"]
limits = { "5220" = { min = "1", max = "9", whole = true } }
[source.places]
"5161-5166" = "offsets/home/G28/{X,Y,Z,A,B,C}"
"5181-5186" = "offsets/home/G30/{X,Y,Z,A,B,C}"
"5211-5216" = "offsets/shift/G92/{X,Y,Z,A,B,C}"
"5220" = "offsets/work/in-force"
"5221-5226" = "offsets/work/G54/{X,Y,Z,A,B,C}"
"5241-5246" = "offsets/work/G55/{X,Y,Z,A,B,C}"
"5261-5266" = "offsets/work/G56/{X,Y,Z,A,B,C}"
"5281-5286" = "offsets/work/G57/{X,Y,Z,A,B,C}"
"5301-5306" = "offsets/work/G58/{X,Y,Z,A,B,C}"
"5321-5326" = "offsets/work/G59/{X,Y,Z,A,B,C}"
"5341-5346" = "offsets/work/G59.1/{X,Y,Z,A,B,C}"
"5361-5366" = "offsets/work/G59.2/{X,Y,Z,A,B,C}"
"5381-5386" = "offsets/work/G59.3/{X,Y,Z,A,B,C}"

# Tool file as word-address rows: "T3 P3 Z5.1 D.5 ; 1/2 end mill". Not the report's form: common practice, no source.
# Taken when the first row begins with a T word; otherwise the next source has the file. A letter that the trade has a
# word for bears it, the others bear their own.
[[source]]
group = "offsets"
files = ["*.tbl"]
reader = "words"
begins = "T"
required = true
order = 2
point = "free"
comment = [";", "("]
comment_field = "comment"
header = "blank"
repeats = "last"
[[source.row]]
address = "tool/{T}"
[source.row.fields]
P = { name = "pocket", kind = "whole" }
Z = "length"
D = "diameter"
X = "X"
Y = "Y"
A = "A"
B = "B"
C = "C"
U = "U"
V = "V"
W = "W"
Q = { name = "Q", kind = "whole" }

# Tool file in the report's columns: 2.3 and table 1.
[[source]]
group = "offsets"
files = ["*.tbl"]
reader = "columns"
required = true
order = 2
point = "free"
comment = ";"
comment_field = "comment"
header = "blank"
repeats = "last"
columns = [{ name = "pocket", kind = "whole" }, "fms", "tlo", "diam", "comment"]
address = "tool/{pocket}"
[source.fields]
fms = { name = "code", kind = "whole" }
tlo = "length"
diam = "diameter"
comment = { name = "comment", kind = "text" }

# Programs: 3.3. Lines that end in a comment behind ";" are common practice, no source.
[[source]]
group = "programs"
files = ["*.ngc", "*.nc", "*.tap"]
reader = "blocks"
required = true
order = 3
program = "file"        # the report has no O word: a file is a program, called by its path without the ending
point = "free"
comment = ["(", ";"]

# Set-up of the control itself, in parts with keys. Not in the report: common practice, no source.
[[source]]
group = "parameters"
files = ["*.ini"]
reader = "sections"
order = 1
point = "free"
comment = [";", "#"]
repeats = "number"
)toml";

// Table 2 (home, shift and work offsets), table 1 (tools), 3.2.1 (last probe result). Rows: address, name,
// unit, kind, min, max, step, meaning, flags, default, caution.
const std::string_view rs274ngc_namebook =
    "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tdefault\tcaution\n"
    "offsets/home/G28/X\tG28 home X\tlength\tnumber\n"
    "offsets/home/G28/Y\tG28 home Y\tlength\tnumber\n"
    "offsets/home/G28/Z\tG28 home Z\tlength\tnumber\n"
    "offsets/home/G28/A\tG28 home A\tdeg\tnumber\n"
    "offsets/home/G28/B\tG28 home B\tdeg\tnumber\n"
    "offsets/home/G28/C\tG28 home C\tdeg\tnumber\n"
    "offsets/home/G30/X\tG30 home X\tlength\tnumber\n"
    "offsets/home/G30/Y\tG30 home Y\tlength\tnumber\n"
    "offsets/home/G30/Z\tG30 home Z\tlength\tnumber\n"
    "offsets/home/G30/A\tG30 home A\tdeg\tnumber\n"
    "offsets/home/G30/B\tG30 home B\tdeg\tnumber\n"
    "offsets/home/G30/C\tG30 home C\tdeg\tnumber\n"
    "offsets/shift/G92/X\tG92 offset X\tlength\tnumber\n"
    "offsets/shift/G92/Y\tG92 offset Y\tlength\tnumber\n"
    "offsets/shift/G92/Z\tG92 offset Z\tlength\tnumber\n"
    "offsets/shift/G92/A\tG92 offset A\tdeg\tnumber\n"
    "offsets/shift/G92/B\tG92 offset B\tdeg\tnumber\n"
    "offsets/shift/G92/C\tG92 offset C\tdeg\tnumber\n"
    "offsets/work/in-force\tCoordinate system in "
    "force\t\tchoice\t1\t9\t\t1=G54;2=G55;3=G56;4=G57;5=G58;6=G59;7=G59.1;8=G59.2;9=G59.3\t\t1\n"
    "offsets/work/G54/X\tCoordinate system 1 (G54) X\tlength\tnumber\n"
    "offsets/work/G54/Y\tCoordinate system 1 (G54) Y\tlength\tnumber\n"
    "offsets/work/G54/Z\tCoordinate system 1 (G54) Z\tlength\tnumber\n"
    "offsets/work/G54/A\tCoordinate system 1 (G54) A\tdeg\tnumber\n"
    "offsets/work/G54/B\tCoordinate system 1 (G54) B\tdeg\tnumber\n"
    "offsets/work/G54/C\tCoordinate system 1 (G54) C\tdeg\tnumber\n"
    "offsets/work/G55/X\tCoordinate system 2 (G55) X\tlength\tnumber\n"
    "offsets/work/G55/Y\tCoordinate system 2 (G55) Y\tlength\tnumber\n"
    "offsets/work/G55/Z\tCoordinate system 2 (G55) Z\tlength\tnumber\n"
    "offsets/work/G55/A\tCoordinate system 2 (G55) A\tdeg\tnumber\n"
    "offsets/work/G55/B\tCoordinate system 2 (G55) B\tdeg\tnumber\n"
    "offsets/work/G55/C\tCoordinate system 2 (G55) C\tdeg\tnumber\n"
    "offsets/work/G56/X\tCoordinate system 3 (G56) X\tlength\tnumber\n"
    "offsets/work/G56/Y\tCoordinate system 3 (G56) Y\tlength\tnumber\n"
    "offsets/work/G56/Z\tCoordinate system 3 (G56) Z\tlength\tnumber\n"
    "offsets/work/G56/A\tCoordinate system 3 (G56) A\tdeg\tnumber\n"
    "offsets/work/G56/B\tCoordinate system 3 (G56) B\tdeg\tnumber\n"
    "offsets/work/G56/C\tCoordinate system 3 (G56) C\tdeg\tnumber\n"
    "offsets/work/G57/X\tCoordinate system 4 (G57) X\tlength\tnumber\n"
    "offsets/work/G57/Y\tCoordinate system 4 (G57) Y\tlength\tnumber\n"
    "offsets/work/G57/Z\tCoordinate system 4 (G57) Z\tlength\tnumber\n"
    "offsets/work/G57/A\tCoordinate system 4 (G57) A\tdeg\tnumber\n"
    "offsets/work/G57/B\tCoordinate system 4 (G57) B\tdeg\tnumber\n"
    "offsets/work/G57/C\tCoordinate system 4 (G57) C\tdeg\tnumber\n"
    "offsets/work/G58/X\tCoordinate system 5 (G58) X\tlength\tnumber\n"
    "offsets/work/G58/Y\tCoordinate system 5 (G58) Y\tlength\tnumber\n"
    "offsets/work/G58/Z\tCoordinate system 5 (G58) Z\tlength\tnumber\n"
    "offsets/work/G58/A\tCoordinate system 5 (G58) A\tdeg\tnumber\n"
    "offsets/work/G58/B\tCoordinate system 5 (G58) B\tdeg\tnumber\n"
    "offsets/work/G58/C\tCoordinate system 5 (G58) C\tdeg\tnumber\n"
    "offsets/work/G59/X\tCoordinate system 6 (G59) X\tlength\tnumber\n"
    "offsets/work/G59/Y\tCoordinate system 6 (G59) Y\tlength\tnumber\n"
    "offsets/work/G59/Z\tCoordinate system 6 (G59) Z\tlength\tnumber\n"
    "offsets/work/G59/A\tCoordinate system 6 (G59) A\tdeg\tnumber\n"
    "offsets/work/G59/B\tCoordinate system 6 (G59) B\tdeg\tnumber\n"
    "offsets/work/G59/C\tCoordinate system 6 (G59) C\tdeg\tnumber\n"
    "offsets/work/G59.1/X\tCoordinate system 7 (G59.1) X\tlength\tnumber\n"
    "offsets/work/G59.1/Y\tCoordinate system 7 (G59.1) Y\tlength\tnumber\n"
    "offsets/work/G59.1/Z\tCoordinate system 7 (G59.1) Z\tlength\tnumber\n"
    "offsets/work/G59.1/A\tCoordinate system 7 (G59.1) A\tdeg\tnumber\n"
    "offsets/work/G59.1/B\tCoordinate system 7 (G59.1) B\tdeg\tnumber\n"
    "offsets/work/G59.1/C\tCoordinate system 7 (G59.1) C\tdeg\tnumber\n"
    "offsets/work/G59.2/X\tCoordinate system 8 (G59.2) X\tlength\tnumber\n"
    "offsets/work/G59.2/Y\tCoordinate system 8 (G59.2) Y\tlength\tnumber\n"
    "offsets/work/G59.2/Z\tCoordinate system 8 (G59.2) Z\tlength\tnumber\n"
    "offsets/work/G59.2/A\tCoordinate system 8 (G59.2) A\tdeg\tnumber\n"
    "offsets/work/G59.2/B\tCoordinate system 8 (G59.2) B\tdeg\tnumber\n"
    "offsets/work/G59.2/C\tCoordinate system 8 (G59.2) C\tdeg\tnumber\n"
    "offsets/work/G59.3/X\tCoordinate system 9 (G59.3) X\tlength\tnumber\n"
    "offsets/work/G59.3/Y\tCoordinate system 9 (G59.3) Y\tlength\tnumber\n"
    "offsets/work/G59.3/Z\tCoordinate system 9 (G59.3) Z\tlength\tnumber\n"
    "offsets/work/G59.3/A\tCoordinate system 9 (G59.3) A\tdeg\tnumber\n"
    "offsets/work/G59.3/B\tCoordinate system 9 (G59.3) B\tdeg\tnumber\n"
    "offsets/work/G59.3/C\tCoordinate system 9 (G59.3) C\tdeg\tnumber\n"
    "offsets/tool/*/code\tTool * FMS code\t\tnumber\n"
    "offsets/tool/*/pocket\tTool * pocket\t\tnumber\n"
    "offsets/tool/*/length\tTool * length offset\tlength\tnumber\n"
    "offsets/tool/*/diameter\tTool * diameter\tlength\tnumber\n"
    "offsets/tool/*/X\tTool * X\tlength\tnumber\n"
    "offsets/tool/*/Y\tTool * Y\tlength\tnumber\n"
    "offsets/tool/*/A\tTool * A\tdeg\tnumber\n"
    "offsets/tool/*/B\tTool * B\tdeg\tnumber\n"
    "offsets/tool/*/C\tTool * C\tdeg\tnumber\n"
    "offsets/tool/*/U\tTool * U\tlength\tnumber\n"
    "offsets/tool/*/V\tTool * V\tlength\tnumber\n"
    "offsets/tool/*/W\tTool * W\tlength\tnumber\n"
    "offsets/tool/*/Q\tTool * Q\t\tnumber\n"
    "offsets/tool/*/comment\tTool * comment\t\ttext\n"
    "variables/5061\tLast probe result X\tlength\tnumber\t\t\t\t\tliving\n"
    "variables/5062\tLast probe result Y\tlength\tnumber\t\t\t\t\tliving\n"
    "variables/5063\tLast probe result Z\tlength\tnumber\t\t\t\t\tliving\n"
    "variables/5064\tLast probe result A\tdeg\tnumber\t\t\t\t\tliving\n"
    "variables/5065\tLast probe result B\tdeg\tnumber\t\t\t\t\tliving\n"
    "variables/5066\tLast probe result C\tdeg\tnumber\t\t\t\t\tliving\n";

}  // namespace keepway::layout
