// The card, printed by a real browser.
"use strict";
const {test, before} = require("node:test");
const assert = require("node:assert");
const {execFileSync} = require("node:child_process");
const fs = require("node:fs");
const path = require("node:path");
const {scratch, env, keepway, json, executablePath, flags} = require("./support");
const {makeShop, layout, take} = require("./shop");

function print(file) {
  const pdf = file.replace(/html$/, "pdf");
  const profile = fs.mkdtempSync(path.join(scratch, "print-"));
  execFileSync(executablePath, [...flags, "--user-data-dir=" + profile, "--no-pdf-header-footer", "--print-to-pdf=" + pdf, "file://" + file], {stdio: "ignore", timeout: 60000});
  const info = execFileSync("pdfinfo", [pdf], {encoding: "utf8"});
  return {pages: Number(/^Pages:\s+(\d+)/m.exec(info)[1]), size: /^Page size:\s+(.*)$/m.exec(info)[1],
          sides: [1, 2].map((n) => execFileSync("pdftotext", ["-f", n, "-l", n, "-layout", pdf, "-"], {encoding: "utf8"}))};
}

const many = `layout = 1
[[source]]
group = "programs"
files = ["JOBS.{serial}"]
reader = "blocks"
required = true
[[source]]
group = "offsets"
files = ["TOOLS.{serial}"]
reader = "columns"
required = true
split = "comma"
columns = ["tool", "length", "diameter"]
address = "tool/{tool}"
fields = { length = "length", diameter = "diameter" }
`;

before(() => {
  makeShop();
  fs.writeFileSync(path.join(scratch, "many.toml"), many);
});

test("a machine's card has exactly two pages, on either paper, with what the owner wrote", () => {
  for (const [paper, size] of [["a4", /A4/], ["letter", /letter/]]) {
    const file = path.join(scratch, "card-" + paper + ".html");
    keepway("sheet", "mill", "--to", file, "--paper", paper);
    const printed = print(file);
    assert.equal(printed.pages, 2);
    assert.match(printed.size, size);
    const [front, back] = printed.sides;
    assert.match(front, /Turn the program lock off.*/);
    assert.match(front, /program lock OFF/);
    assert.match(front, /program lock back ON/);
    assert.match(front, /TOOLS\.4711/);
    assert.match(front, /2026-01-31/);
    assert.match(front, /2027-02-28/);  // thirteen months on; that month has 28 days
    assert.match(back, /Wrong parameters move axes unexpectedly/);
    assert.match(back, /Load parameters first/);
    const good = json("history", "mill").backups.find((b) => b.verdict === "good");
    assert.ok(back.replace(/\s+/g, "").includes(good.digest));
  }
});

test("a card holds the offsets of the last good backup, a place to sign, and what is overdue", () => {
  keepway("enroll", "valued", "--layout", "rs274ngc", "--units", "mm");
  const folder = path.join(scratch, "valued");
  fs.mkdirSync(folder, {recursive: true});
  fs.cpSync(path.join(__dirname, "../../demo-repo/drawer/bed-mill/2026-01-12"), folder, {recursive: true});
  const table = path.join(folder, "bedmill.tbl");
  const rows = fs.readFileSync(table, "latin1").split(/\r?\n/);
  const shape = rows.find((row) => /^\s*1\s+1\s/.test(row));
  assert.ok(shape, "the table's rows are as they were when this was written");
  const more = Array.from({length: 90}, (_, i) => shape.replace(/^\s*1\s+1\s/, `${i + 9}  ${i + 9} `));
  fs.writeFileSync(table, [...rows.filter(Boolean), ...more, ""].join("\n"));
  keepway("intake", "valued", folder, "--at", "2026-01-12", "--by", "Ida");
  keepway("battery", "valued", "--changed", "2024-02-01", "--every-months", "12");
  for (const paper of ["a4", "letter"]) {
    const file = path.join(scratch, "valued-" + paper + ".html");
    keepway("sheet", "valued", "--to", file, "--paper", paper);
    const printed = print(file);
    assert.equal(printed.pages, 2);
    const [front, back] = printed.sides;
    assert.match(front, /2025-02-01 OVERDUE/);
    assert.match(front, /signature/);
    assert.match(front, /Offsets as of #1 of 2026-01-12\s*$/m);
    const shown = json("show", "valued", "offsets/work/G54").items;
    assert.ok(shown.length > 2);
    const row = front.split("\n").find((line) => /^\s*G54\s/.test(line));
    // Six digits behind the point, as the control has them.
    for (const item of shown) assert.ok(row.split(/\s+/).some((cell) => /^-?\d+\.\d{6}$/.test(cell) && Number(cell) === Number(item.value)), item.address + " " + row);
    assert.match(front, /All zero: G56/);
    // The tools from the first side on to the second, in their order and none twice; what neither holds is counted.
    const tools = json("show", "valued", "offsets/tool").items;
    const numbers = [...new Set(tools.map((item) => Number(item.address.split("/")[2])))].sort((a, b) => a - b);
    assert.ok(numbers.length > 90);
    const rowsOf = (side) => [...side.matchAll(/(?<=^|\s\s)(\d{1,3})\s+\d+\.\d{3}\s+\d+\.\d{3}/gm)].map((m) => Number(m[1])).sort((a, b) => a - b);
    const [first, second] = [rowsOf(front), rowsOf(back)];
    assert.ok(first.length > 3 && second.length > 10, first.length + " " + second.length);
    assert.deepEqual([...first, ...second], numbers.slice(0, first.length + second.length));
    const lacks = tools.filter((item) => Number(item.address.split("/")[2]) > second.at(-1)).length;
    assert.ok(Number(/Not on this card: (\d+) offsets: keepway show valued offsets/.exec(back)[1]) >= lacks);
    assert.match(back, /tool offsets, continued/);
    assert.ok(front.split("\n").filter((line) => /^\s*#\s*$/.test(line)).length >= 4, "room to sign");
    assert.match(back, /keepway card for valued/);  // whatever is above it, the foot is on the side
  }
});

test("a card that can hold all offsets does, on two sides where one is too short", () => {
  keepway("enroll", "whole", "--layout", path.join(scratch, "many.toml"), "--serial", "6");
  const folder = path.join(scratch, "whole");
  fs.mkdirSync(folder);
  fs.writeFileSync(path.join(folder, "TOOLS.6"), Array.from({length: 70}, (_, i) => `${i + 1},${i < 66 ? (i + 1) * 3 : 0}.000,${i < 66 ? 4 : 0}.500\n`.replace("0.500", i < 66 ? "0.500" : "0.000")).join(""));
  fs.writeFileSync(path.join(folder, "JOBS.6"), "%\nO1\nM30\n%\n");
  keepway("intake", "whole", folder, "--at", "2026-01-12", "--by", "Ida");
  for (const paper of ["letter", "a4"]) {
    const file = path.join(scratch, "whole-" + paper + ".html");
    keepway("sheet", "whole", "--to", file, "--paper", paper);
    const printed = print(file);
    assert.equal(printed.pages, 2);
    const all = printed.sides.join("\n");
    for (let tool = 1; tool <= 66; ++tool) assert.match(all, new RegExp("(^|\\s)" + tool + "\\s+" + tool * 3 + "\\.000\\s+4\\.500", "m"));
    assert.match(all, /All zero: 67, 68, 69, 70\./);
    assert.ok(!/Not on this card/.test(all));
  }
});

test("a card with more offsets than two sides hold says how many it lacks, and has two pages", () => {
  keepway("enroll", "full", "--layout", path.join(scratch, "many.toml"), "--serial", "5");
  const folder = path.join(scratch, "full");
  fs.mkdirSync(folder);
  const most = 900;
  fs.writeFileSync(path.join(folder, "TOOLS.5"), Array.from({length: most}, (_, i) => `${i + 1},${(i + 1) * 3}.125,4.500\n`).join(""));
  fs.writeFileSync(path.join(folder, "JOBS.5"), "%\nO1\nM30\n%\n");
  keepway("intake", "full", folder, "--at", "2026-01-12", "--by", "Ida");
  let before = 0;
  for (const paper of ["letter", "a4"]) {
    const file = path.join(scratch, "full-" + paper + ".html");
    keepway("sheet", "full", "--to", file, "--paper", paper);
    const printed = print(file);
    assert.equal(printed.pages, 2);
    const all = printed.sides.join("\n");
    const lacks = Number(/Not on this card: ([\d,]+) offsets/.exec(all)[1].replace(",", ""));
    const there = [...all.matchAll(/(\d+)\s+(\d+)\.125\s+4\.500/g)].filter((m) => Number(m[2]) === 3 * Number(m[1])).length;
    assert.equal(2 * there + lacks, 2 * most);
    assert.ok(there > before, "the longer paper holds more");
    assert.ok(there > 60, String(there));
    before = there;
    assert.match(printed.sides[0], /keepway card for full/);
  }
});

test("the longest card that a layout may ask for still has two pages", () => {
  const step = (key, i) => `[[${key}]]\ndo = "${("W" + i + " ").repeat(60).slice(0, 140)}"\n` + (i === 0 ? 'unlock = "' + "L".repeat(30) + '"\n' : i === 11 ? 'lock = "' + "L".repeat(30) + '"\n' : "");
  const steps = ["backup_step", "restore_step"].map((key) => Array.from({length: 12}, (_, i) => step(key, i)).join("")).join("");
  const file = path.join(scratch, "long.toml");
  fs.writeFileSync(file, layout.replace(/\[\[backup_step\]\][\s\S]*?(?=\[\[source\]\])/, steps));
  keepway("enroll", "long", "--layout", file, "--serial", "77", "--title", "W".repeat(200));
  take("long", "77", 0, "2026-03-01", {by: "B".repeat(80)});
  for (const paper of ["a4", "letter"]) {
    const card = path.join(scratch, "long-" + paper + ".html");
    keepway("sheet", "long", "--to", card, "--paper", paper);
    assert.equal(print(card).pages, 2, paper);
  }
});

test("a machine without steps or backups has a card too", () => {
  keepway("enroll", "empty", "--layout", "rs274ngc");
  const file = path.join(scratch, "empty.html");
  keepway("sheet", "empty", "--to", file);
  const printed = print(file);
  assert.equal(printed.pages, 2);
  assert.match(printed.sides[0], /steps of this machine are not known yet/);
});

test("hostile text is text on the card", () => {
  const file = path.join(scratch, "hostile.html");
  keepway("sheet", "hostile", "--to", file);
  const text = fs.readFileSync(file, "utf8");
  assert.ok(!/<img|<script|onerror=alert\(1\)>/.test(text));
  assert.match(print(file).sides[0], /Title <img src=x/);
});

test("the code on the card reads as the digest", {skip: (() => {
  try {
    execFileSync("sh", ["-c", "command -v zbarimg"]);
    return false;
  } catch {
    return "there is no zbarimg to read it with";
  }
})()}, () => {
  const file = path.join(scratch, "qr.html");
  keepway("sheet", "mill", "--to", file);
  print(file);
  execFileSync("pdftoppm", ["-f", "2", "-l", "2", "-r", "200", "-png", file.replace(/html$/, "pdf"), path.join(scratch, "qr")]);
  const png = fs.readdirSync(scratch).find((name) => /^qr.*png$/.test(name));
  const read = execFileSync("zbarimg", ["-q", "--raw", path.join(scratch, png)], {encoding: "utf8"});
  const good = json("history", "mill").backups.find((b) => b.verdict === "good");
  assert.equal(read.trim(), "keepway mill #" + good.number + " " + good.at.slice(0, 10) + " sha256:" + good.digest);
  assert.ok(env.KEEPWAY_SHOP);
});
