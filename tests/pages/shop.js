// The invented shop that the page tests look at: one machine with a tool that wears, an offset that jumps,
// a part counter, a gap, a mark, a trial; and one whose every text is hostile.
"use strict";
const fs = require("node:fs");
const path = require("node:path");
const {execFileSync} = require("node:child_process");
const {scratch, env, keepway} = require("./support");

const layout = `layout = 1
title = "Invented control"
units = "inch"

[[backup_step]]
do = "Turn the program lock off: the key on the left of the panel"
unlock = "program lock"
[[backup_step]]
do = "Send all memory to the stick"
[[backup_step]]
do = "Turn the key back"
lock = "program lock"
[[restore_step]]
do = "Load parameters first"

[[source]]
group = "programs"
files = ["JOBS.{serial}"]
reader = "blocks"
required = true
comment = ["("]

[[source]]
group = "offsets"
files = ["TOOLS.{serial}"]
reader = "columns"
required = true
header = 1
split = "comma"
columns = ["tool", "length", "diameter", "note"]
address = "tool/{tool}"
fields = { length = "length", diameter = "diameter", note = { name = "note", kind = "text" } }

[[source]]
group = "offsets"
files = ["ZEROS.{serial}"]
reader = "words"
required = true
[[source.row]]
match = "G10 L2"
address = "work/{P}"
rename = { P = { 1 = "G54", 2 = "G55" } }
fields = { X = "X", Y = "Y" }

[[source]]
group = "variables"
files = ["CELLS.{serial}"]
reader = "assign"
required = true
`;

const names = (hostile) => "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tdefault\tcaution\n" +
  `variables/300\tParts made${hostile}\t\tnumber\t\t\t\t\tliving\n` +
  `offsets/tool/*/length\tTool * length${hostile}\tlength\tnumber\t0\t12\t\n` +
  `offsets/work/*/X\tWork * X${hostile}\tlength\tnumber\t-20\t0\t0.5\n`;

function files(serial, n, hostile = "") {
  const tools = [1, 2, 3, 4].map((t) => `${t},${(5 + t * 0.5 - (t === 2 ? n * 0.001 : 0)).toFixed(4)},0.5,end mill ${t}${hostile}`);
  const feed = n < 4 ? "20." : "22.5";
  return {
    ["JOBS." + serial]: `%\nO1000 (BRACKET${hostile})\nN10 G20 G90 G54\nN20 T1 M6\nN30 S1200 M3\nN40 G0 X0. Y0.\nN50 G1 Z-.25 F${feed}\nN60 X2.5\nN70 M30\n` +
      `O1001 (BRACKET REVERSED)\nN10 G20 G90 G55\nN20 T2 M6\nN30 S1500 M3\nN40 G0 X0. Y0.\nN50 G1 Z-.3 F18.\nN60 X2.5\nN70 M30\n%\n`,
    ["TOOLS." + serial]: "tool,length,diameter,note\n" + tools.join("\n") + "\n",
    ["ZEROS." + serial]: `G10 L2 P1 X${n === 5 ? "-1.4251" : "-14.251"} Y-3.5\nG10 L2 P2 X-2. Y-${3 + n / 8}\n`,
    ["CELLS." + serial]: `#300=${12 + n * 31}\n#301=0.25\n`,
  };
}

function take(machine, serial, n, date, options = {}) {
  const folder = path.join(scratch, "in-" + machine + "-" + n);
  fs.mkdirSync(folder);
  for (const [name, text] of Object.entries(files(serial, n, options.hostile))) fs.writeFileSync(path.join(folder, name), text);
  keepway("intake", machine, folder, "--at", date, "--by", options.by || (n % 3 === 0 ? "Tom" : "Ida"), "--note", options.note || "backup " + n, "--accept");
}

const evil = "<img src=x onerror=alert(1)></script><script>alert(2)</script>&amp;\u202e\"'";
const day = (n) => new Date(Date.UTC(2026, 0, 5 + 7 * n)).toISOString().slice(0, 10);

function makeShop() {
  keepway("init", env.KEEPWAY_SHOP, "--title", "Invented shop " + evil);
  const file = path.join(scratch, "invented.toml");
  fs.writeFileSync(file, layout);
  keepway("enroll", "mill", "--layout", file, "--serial", "4711", "--title", "Invented mill");
  fs.writeFileSync(path.join(env.KEEPWAY_SHOP, "mill", "namebook.tsv"), names(""));
  // Ten a week apart, but for four that are missing behind the sixth.
  for (let n = 0; n < 10; ++n) take("mill", "4711", n, day(n < 6 ? n : n + 4));
  keepway("mark", "mill", "known good", "--at", "#4");
  fs.appendFileSync(path.join(env.KEEPWAY_SHOP, "mill", "machine.toml"), "\n[battery]\nchanged = 2026-01-31\nevery_months = 13\n");
  keepway("enroll", "hostile", "--layout", file, "--serial", "13", "--title", "Title " + evil);
  fs.writeFileSync(path.join(env.KEEPWAY_SHOP, "hostile", "namebook.tsv"), names(evil));
  for (let n = 0; n < 6; ++n) take("hostile", "13", n, day(n), {hostile: evil.replace(/,/g, ""), by: "By " + evil, note: "Note " + evil + "\nsecond line"});
  keepway("trial", "hostile", "begin", "warm-up", "--note", "Trial " + evil);
  take("hostile", "13", 6, day(6), {hostile: evil.replace(/,/g, ""), note: evil});
  return env.KEEPWAY_SHOP;
}

module.exports = {makeShop, take, evil, files, day, names, layout, execFileSync};
