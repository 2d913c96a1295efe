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

before(() => makeShop());

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
    assert.match(back, /Offsets as of #1 of 2026-01-12/);
    const shown = json("show", "valued", "offsets/work/G54").items;
    assert.ok(shown.length > 2);
    const row = back.split("\n").find((line) => /^\s*G54\s/.test(line));
    for (const item of shown) assert.ok(row.split(/\s+/).includes(item.value), item.address + " " + row);
    assert.match(back, /All zero: G56/);
    assert.match(back, /And \d+ more rows: keepway show valued offsets\/tool/);
    assert.match(back, /keepway card for valued/);  // whatever is above it, the foot is on the side
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
  assert.match(printed.sides[0], /No steps are written/);
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
