// A shop like life, all of it invented: a lathe in inch and a mill in mm with a backup a week for a year, and a second
// mill of the mill's kind that is counted in inch. Memory is lost once, a tool creeps, an offset jumps, one backup
// is withdrawn, one is marked, a trial is in progress, and the lathe's backup and battery are overdue.
"use strict";
const fs = require("node:fs");
const path = require("node:path");
const {scratch, env, keepway} = require("./support");

const source = (group, files, more) => `[[source]]\ngroup = "${group}"\nfiles = ["${files}.{serial}"]\nrequired = true\n${more}\n`;
const layout = `layout = 1\ntitle = "Invented control"\nunits = "inch"\n` +
  source("programs", "JOBS", `reader = "blocks"\ncomment = ["("]\nnumbered_by = ["O", "name"]\nnamed_by = "<{name}>"`) +
  source("offsets", "TOOLS", `reader = "columns"\nheader = 1\nsplit = "comma"\ncolumns = ["tool", "length", "diameter", "note"]\naddress = "tool/{tool}"\n` +
    `fields = { length = "length", diameter = "diameter", note = { name = "note", kind = "text" } }`) +
  source("offsets", "ZEROS", `reader = "words"\n[[source.row]]\nmatch = "G10 L2"\naddress = "work/{P}"\n` +
    `rename = { P = { 1 = "G54", 2 = "G55", 3 = "G56", 4 = "G57", 5 = "G58", 6 = "G59" } }\nfields = { X = "X", Y = "Y", Z = "Z" }`) +
  source("variables", "CELLS", `reader = "assign"`) +
  source("settings", "PANEL", `reader = "sections"`) +
  source("parameters", "AXES", `reader = "columns"\ncolumns = ["number", "value"]\naddress = "{number}"\nfields = { value = "" }`) +
  ["backup", "restore"].map((step) => `[[${step}_step]]\ndo = "Turn the program lock off: the key on the left of the panel"\nunlock = "program lock"\n` +
    `[[${step}_step]]\ndo = "Send all memory to the stick, and wait until the lamp is dark"\n[[${step}_step]]\ndo = "Turn the key back"\nlock = "program lock"\n`).join("");

const names = "address\tname\tunit\tkind\tmin\tmax\tstep\tmeaning\tflags\tdefault\tcaution\n" +
  "offsets/work/*/X\t* origin X\tlength\tnumber\t-600\t0\t0.5\n" + "offsets/work/*/Y\t* origin Y\tlength\tnumber\t-400\t0\t0.5\n" +
  "offsets/tool/*/length\tTool * length\tlength\tnumber\t0\t300\n" + "offsets/tool/*/diameter\tTool * diameter\tlength\tnumber\t0\t80\n" +
  "variables/300\tParts made\t\tnumber\t\t\t\t\tliving\n" + "variables/301\tGrößte Zustellung <b>quer</b> & längs\tlength\tnumber\n" +
  "parameters/120\tBacklash X\tcounts\tnumber\t0\t60\t4\t\t\t\twrong backlash cuts wrong sizes: check with an indicator\n" +
  "parameters/121\tSafety switches\t\tbits\t\t\t\t0=door switch;1=coolant level;2=air pressure\n";

// One backup's files: week n, lengths of mm or inch, zeros where memory was lost.
function files(kind, serial, n, isLost = false) {
  const [size, digits] = kind === "mm" ? [1, 3] : [1 / 25.4, 4];
  const length = (mm) => isLost ? (0).toFixed(digits) : (mm * size).toFixed(digits);
  const worn = (t) => t === 3 ? 90 - n * 0.012 : t === 7 ? 118 - Math.floor(n / 9) * 0.02 : 60 + t * 6.35;
  const tools = Array.from({length: 24}, (_, i) => i + 1).map((t) =>
    `${t},${t > 18 ? length(0) : length(worn(t))},${t > 18 ? length(0) : length(3 + t)},${t > 18 || isLost ? "" : t % 5 === 0 ? "Bohrer Ø" + t + " für Werkstück & Nut" : "end mill " + t}`);
  const zero = (p, x, y, z) => `G10 L2 P${p} X${length(x)} Y${length(y)} Z${length(z)}`;
  const zeros = [zero(1, n < 31 ? -298.972 : -286.272, -152.4, -203.2), zero(2, -254, -152.4 - (n > 40 ? 0.05 : 0), -203.2), zero(3, -127, -76.2, -203.2), zero(4, 0, 0, 0), zero(5, 0, 0, 0), zero(6, -50.8, -6, -6)];
  const job = (o, title, feed) => `O${o} (${title})\nN10 G20 G90 G54\nN20 T1 M6\nN30 S1200 M3\nN40 G0 X0. Y0.\nN50 G1 Z-.25 F${feed}\nN60 X2.5\nN70 M30\n`;
  const jobs = [job(1000, "BRACKET LEFT FOR THE LONG TABLE, SECOND CLAMPING, WITH STOP", n < 44 ? "20." : "22.5"), job(1001, "BUSHING <b>30 H7</b> & PIN", "18."),
    `<FLANSCH-OBEN-2-AUFSPANNUNG-MIT-ANSCHLAG-UND-NUT-8X4-VERSION-17B>\n${job(7000, "FLANGE", "9.").split("\n").slice(1).join("\n")}`];
  const cells = [`#300=${isLost ? 0 : 12 + n * 31}`, `#301=${length(n < 25 ? 6 : 9.5)}`, ...Array.from({length: 60}, (_, i) => `#${500 + i}=${length(i % 3 ? 0 : i)}`)];
  const axes = Array.from({length: 400}, (_, i) => `${100 + i} ${isLost ? 0 : i === 20 ? (n < 38 ? 12 : 18) : i === 21 ? (n < 38 ? 5 : 7) : (i * 7919) % 1000}`);
  const panel = `[display]\nunits = ${kind}\nlanguage = 2\n[port]\nspeed = ${n < 12 ? 4800 : 9600}\nparity = even\n`;
  return {["JOBS." + serial]: "%\n" + (isLost ? "" : jobs.join("")) + "%\n", ["TOOLS." + serial]: "tool,length,diameter,note\n" + tools.join("\n") + "\n",
    ["ZEROS." + serial]: zeros.join("\n") + "\n", ["CELLS." + serial]: cells.join("\n") + "\n", ["PANEL." + serial]: panel, ["AXES." + serial]: axes.join("\n") + "\n"};
}

const week = 7 * 86400000;
const today = Date.now() - 12 * 3600000;  // a date means noon, which has to be past
const dayOf = (time) => new Date(time).toISOString().slice(0, 10);

function take(machine, kind, serial, n, {isLost = false, at, by, note = "", accept = false} = {}) {
  const folder = path.join(scratch, "life", machine + "-" + n + (isLost ? "-lost" : ""));
  fs.mkdirSync(folder, {recursive: true});
  for (const [name, text] of Object.entries(files(kind, serial, n, isLost))) fs.writeFileSync(path.join(folder, name), text);
  keepway("intake", machine, folder, "--at", at, "--by", by || (n % 3 ? "Jörg Äußerlich" : "Ida"), "--note", note, ...(accept ? ["--accept"] : []));
  return folder;
}

function enroll(machine, kind, serial, title, more = "") {
  const file = path.join(scratch, "life.toml");
  fs.writeFileSync(file, layout);
  keepway("enroll", machine, "--layout", file, "--serial", serial, "--units", kind, "--title", title);
  fs.writeFileSync(path.join(env.KEEPWAY_SHOP, machine, "namebook.tsv"), names);
  fs.appendFileSync(path.join(env.KEEPWAY_SHOP, machine, "machine.toml"), more);
}

// `weeks` of the year: fewer make a smaller shop sooner.
function makeLife(weeks = 52) {
  keepway("init", env.KEEPWAY_SHOP, "--title", "Zerspanung Süd & Söhne <Halle 2>");
  const at = (n, late = 0) => dayOf(today - (weeks - 1 - n) * week - late * 86400000);
  const note = (n) => n === weeks - 3 ? "nach Umbau <Spindel> & Öl, \"geprüft\"" : n % 10 === 4 ? "before the service" : "";
  enroll("lathe", "inch", "2207", "Turret lathe „Große Plan“ & <b>No. 7</b>", `backup_every_days = 14\n\n[battery]\nchanged = ${dayOf(today - 60 * week)}\nevery_months = 12\n`);
  for (let n = 0; n < weeks; ++n) take("lathe", "inch", "2207", n, {at: at(n, 21), note: note(n), isLost: n === Math.round(weeks * 0.7)});
  keepway("withdraw", "lathe", String(weeks - 8), "--why", "stick of the other lathe & <not> this one");
  keepway("mark", "lathe", "after ballscrew", "--at", "#" + (weeks - 12));
  enroll("mill", "mm", "3118", "Bed mill with a long table and a very long name that people do use every day", `backup_every_days = 7\n\n[battery]\nchanged = ${dayOf(today - 20 * week)}\nevery_months = 24\n`);
  for (let n = 0; n < weeks; ++n) take("mill", "mm", "3118", n, {at: at(n), note: note(n)});
  keepway("mark", "mill", "known good", "--at", "#" + (weeks - 6));
  keepway("trial", "mill", "begin", "deeper-cuts", "--note", "O1000 mit 22.5 statt 20 <prüfen>");
  take("mill", "mm", "3118", weeks + 3, {at: dayOf(today), by: "Ida", note: "first trial parts"});
  enroll("mill-2", "inch", "3119", "Bed mill 2");
  for (let n = 0; n < 3; ++n) take("mill-2", "inch", "3119", n, {at: at(weeks - 3 + n)});
  return env.KEEPWAY_SHOP;
}

module.exports = {makeLife, take, files, layout, names, dayOf};
