// Any two backups, the machine as it stood, the calendar, and two machines beside each other. The shop is invented.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const {scratch, keepway, json, open, checkAccess, fileUrl} = require("./support");
const {makeShop, files, layout, names} = require("./shop");

let browser;
let pages;
const mill = (hash) => fileUrl(path.join(pages, "machines", "mill", "index.html")) + "#/" + hash;
const shop = (hash = "") => fileUrl(path.join(pages, "index.html")) + (hash ? "#/" + hash : "");
const rows = (table) => browser.page.$$eval(table + " tbody tr", (list) => list.map((tr) => [...tr.children].map((cell) => cell.textContent)));

before(async () => {
  const folder = makeShop();
  // A second of the same kind, which wears otherwise.
  const file = path.join(scratch, "twin.toml");
  fs.writeFileSync(file, layout);
  keepway("enroll", "twin", "--layout", file, "--serial", "88", "--title", "Invented twin");
  fs.writeFileSync(path.join(folder, "twin", "namebook.tsv"), names(""));
  // Lines that no reader understands, which went again: items of the group of programs, and no programs.
  for (const [n, junk, date] of [[1, "?1 NO BLOCK", "2026-01-25"], [2, "", "2026-02-01"]]) {
    const from = path.join(scratch, "twin-" + n);
    fs.mkdirSync(from);
    for (const [name, text] of Object.entries(files("88", n))) fs.writeFileSync(path.join(from, name), name.startsWith("JOBS") ? text.replace("%\n", "%\n" + junk + "\n") : text);
    keepway("intake", "twin", from, "--at", date, "--accept");
  }
  fs.appendFileSync(path.join(folder, "twin", "machine.toml"), "backup_every_days = 30\n");
  // The mill's lengths in mm, but for one tool's.
  keepway("enroll", "metric", "--layout", file, "--serial", "89", "--units", "mm");
  const metric = path.join(scratch, "metric");
  fs.mkdirSync(metric);
  const lengths = {"TOOLS.89": "tool,length,diameter,note\n" + ["139.7000", "152.4000", "165.1000", "177.8000"].map((l, i) => `${i + 1},${l},12.7,end mill ${i + 1}\n`).join(""),
    "ZEROS.89": "G10 L2 P1 X-361.9754 Y-88.9\nG10 L2 P2 X-50.8 Y-104.775\n", "CELLS.89": "#300=291\n#301=0.5\n"};
  fs.writeFileSync(path.join(folder, "metric", "namebook.tsv"), "address\tname\tunit\tkind\n" + ["tool/*/length\tTool * length", "tool/*/diameter\tTool * diameter", "work/*/X\tWork * X", "work/*/Y\tWork * Y"].map((n) => "offsets/" + n + "\tlength\tnumber\n").join(""));
  for (const [name, text] of Object.entries({...files("89", 9), ...lengths})) fs.writeFileSync(path.join(metric, name), text);
  keepway("intake", "metric", metric, "--at", "2026-02-01", "--accept");
  keepway("withdraw", "mill", "3", "--why", "wrong stick");
  pages = path.join(scratch, "between");
  keepway("report", "--all", "--to", pages);
  browser = await open();
});
after(() => browser.close());

test("any two backups are compared as the command compares them", async () => {
  await browser.go(mill("between/2/9"));
  const said = json("changes", "mill", "#2", "#9");
  const values = said.values.filter((v) => !v.living && !v.address.startsWith("variables/300"));
  const shown = await rows("main table");
  assert.deepEqual(shown.map((r) => r[0]).sort(), values.map((v) => v.address).sort());
  for (const v of values) {
    const row = shown.find((r) => r[0] === v.address);
    assert.ok(row[2].startsWith(v.before) && row[3].startsWith(v.after), row.join("|"));
  }
  const x = shown.find((r) => r[0] === "offsets/tool/2/length");
  assert.equal(x[4], "-0.007");
  assert.match(await browser.page.textContent("main"), /1 program differs/);
  assert.match(await browser.page.textContent("main"), /Left out: 1 item/);
  assert.deepEqual(browser.complaints, []);
});

test("a backup is chosen by number, mark or day, and what is none is said", async () => {
  await browser.go(mill("backup/9"));
  const field = browser.page.getByLabel("Compare with");
  for (const [text, hash] of [["#2", "#/between/2/9"], ["known good", "#/between/4/9"], ["2026-01-13", "#/between/2/9"]]) {
    await browser.go(mill("backup/9"));
    await field.fill(text);
    await field.press("Enter");
    await browser.page.waitForFunction((wanted) => document.querySelector("main").dataset.shown === wanted, hash);
  }
  await browser.go(mill("backup/9"));
  await field.fill("#77");
  await field.press("Enter");
  assert.match(await browser.page.textContent("form.choose"), /no such backup/);
});

test("the machine as it stood is what the command shows of that backup", async () => {
  for (const group of ["offsets", "variables"]) {
    await browser.go(mill("stood/5/" + group));
    const said = json("show", "mill", group, "--at", "#5").items;
    const shown = await rows("main table");
    assert.equal(shown.length, said.length);
    for (const item of said) {
      const row = shown.find((r) => group + "/" + r[0] === item.address);
      assert.ok(row && row[2].startsWith(item.value), item.address);
    }
  }
  await browser.go(mill("stood/6/offsets"));
  assert.match(await browser.page.textContent("main"), /As it stood at #6/);
  await browser.go(mill("stood/3/offsets"));
  assert.match(await browser.page.textContent("main"), /#3 is withdrawn: it is not to be used/);
  await browser.go(mill("stood/77"));
  assert.match(await browser.page.textContent("main"), /No backup 77/);
});

test("the calendar has a mark for each day with a backup, by verdict", async () => {
  await browser.go(mill("timeline"));
  const marks = await browser.page.$$eval(".calendar a", (list) => list.map((a) => [a.getAttribute("aria-label"), a.className, a.textContent]));
  const backups = json("history", "mill").backups;
  assert.equal(marks.length, backups.length);
  for (const b of backups) {
    const mark = marks.find(([label]) => label.includes(b.name + ","));
    assert.ok(mark, b.name);
    assert.ok(mark[1].includes(b.withdrawn ? "withdrawn" : b.verdict), mark.join("|"));
    assert.equal(mark[0].endsWith(", accepted"), Boolean(b.accepted), mark.join("|"));
  }
});

// Both machines' page, and what the command says of them.
async function sideBySide(a, b) {
  await browser.page.goto("about:blank");
  await browser.page.goto(shop());
  await browser.page.selectOption("#first-machine", a);
  await browser.page.selectOption("#second-machine", b);
  await browser.page.click("form.choose button");
  await browser.page.waitForFunction(() => document.querySelector("main").dataset.shown === "twins");
  return {shown: await rows("main table"), text: await browser.page.textContent("main"), said: json("twin", a, b)};
}

test("two machines are compared as twin compares them", async () => {
  const {shown, text, said} = await sideBySide("mill", "twin");
  assert.match(text, /mill and twin/);
  assert.ok(said.values.length > 0 && said.programs.length > 0);
  assert.deepEqual(shown.map((r) => r[0]), [...said.values.map((v) => v.address), ...said.programs.map((p) => p.program)]);
  const tool = said.values.find((v) => v.address === "offsets/tool/2/length");
  assert.deepEqual(shown.find((r) => r[0] === tool.address).slice(2), ["5.9910 in", "5.9980 in", "+0.007"]);
  assert.equal(tool.delta, "+0.007");
  assert.deepEqual(shown.at(-1), ["O1000", "changed"]);
  assert.match(text, new RegExp(said.equal + " items equal; 0 of one machine alone and 1 living are left out"));
  assert.match(text, /What is right on one machine may be wrong on its twin: check each value before it goes in/);
  assert.ok(!text.includes("unread"), "what went again is not compared");
  assert.ok(!/25\.4/.test(text));
  // One order, whichever is chosen first, and a way back.
  const turned = await sideBySide("twin", "mill");
  assert.deepEqual(turned.shown, shown);
  await browser.page.getByRole("link", {name: "All machines"}).click();
  await browser.page.waitForFunction(() => document.querySelector("main").dataset.shown === "shop");
  await browser.go(fileUrl(path.join(pages, "machines", "twin", "index.html")) + "#/between/1/2");
  assert.match(await browser.page.textContent("main"), /programs?\/?unread|unread\//);
  assert.deepEqual(browser.complaints, []);
});

test("lengths of machines with different units are compared as lengths", async () => {
  const {shown, text, said} = await sideBySide("metric", "mill");
  assert.match(text, /metric counts in mm and mill in inch: lengths are compared as lengths, one inch being 25\.4 mm exactly/);
  // All others are the same to the last digit: -14.251 in is -361.9754 mm.
  assert.deepEqual(said.values.map((v) => v.address), ["offsets/tool/2/length", "variables/301"]);
  assert.deepEqual(shown, [["offsets/tool/2/length", "Tool 2 length", "152.4000 mm", "5.9910 in", "-0.2286 mm"], ["variables/301", "", "0.5", "0.25", ""]]);
  await browser.page.goto(shop("twins/mill/nobody"));
  await browser.page.waitForFunction(() => document.querySelector("h1").textContent === "No machine nobody");
  await browser.page.goto(shop("twins/mill/mill"));
  await browser.page.waitForFunction(() => /Choose two that are not the same/.test(document.querySelector("main").textContent));
});

test("of many machines only those of one layout are compared in a report", {timeout: 60000}, async () => {
  const inShop = path.join(scratch, "many");
  const many = (...args) => keepway(...args, ...(args[0] === "init" ? [] : ["--shop", inShop]));
  many("init", inShop);
  const from = path.join(scratch, "many-backup");
  fs.mkdirSync(from);
  for (const [name, text] of Object.entries(files("7", 1))) fs.writeFileSync(path.join(from, name), text);
  const one = path.join(scratch, "one.toml");
  const other = path.join(scratch, "other.toml");
  fs.writeFileSync(one, layout);
  fs.writeFileSync(other, layout + "# another\n");
  const machines = Array.from({length: 21}, (_, i) => "m" + (i + 1));
  for (const name of machines) {
    many("enroll", name, "--layout", name === "m21" ? other : one, "--serial", "7");
    many("intake", name, from, "--at", "2026-01-12");
  }
  const to = path.join(scratch, "many-pages");
  many("report", "--all", "--to", to);
  const isThere = (a, b) => fs.existsSync(path.join(to, "data", "twins", a, b, "twins.js"));
  assert.ok(isThere("m1", "m2") && isThere("m19", "m20"));
  assert.ok(!isThere("m1", "m21") && !isThere("m2", "m1"));
  const reader = await open();
  try {
    await reader.page.goto(fileUrl(path.join(to, "index.html")) + "#/twins/m21/m1");
    await reader.page.waitForSelector("main[data-shown='twins']");
    assert.match(await reader.page.textContent("main"), /These two are not compared here\. At the terminal: keepway twin m1 m21/);
    await reader.page.goto("about:blank");
    await reader.page.goto(fileUrl(path.join(to, "index.html")) + "#/twins/m1/m2");
    await reader.page.waitForSelector("main[data-shown='twins']");
    assert.match(await reader.page.textContent("main"), /Nothing that should be equal differs/);
  } finally {
    await reader.close();
  }
});

test("the list of machines says what is due", async () => {
  await browser.page.goto("about:blank");
  await browser.page.goto(shop());
  await browser.page.waitForFunction(() => document.querySelector("main").dataset.shown === "shop");
  const due = async (name) => (await browser.page.locator("tbody tr", {has: browser.page.getByRole("link", {name, exact: true})}).locator("td").nth(2).innerText());
  const status = json("status").machines.find((m) => m.machine === "mill");
  assert.match(await due("mill"), status.battery.is_due ? /Battery: OVERDUE since 28 Feb 2027/ : /Battery: due 28 Feb 2027, in \d+ days/);
  assert.match(await due("twin"), /Backup: OVERDUE since 3 Mar 2026, \d+ days/);
  assert.match(await due("hostile"), /trial warm-up in progress/);
  assert.equal(await due("metric"), "");
});

test("an item's changes are narrowed to those larger than an amount", async () => {
  await browser.go(mill("item/offsets/tool/2/length"));
  const all = await rows("main table:last-of-type");
  assert.ok(all.length > 6);
  const field = browser.page.getByLabel("Only changes larger than");
  const shown = async (least) => {
    await field.fill(least);
    await field.press("Enter");
    return (await rows("main div table")).filter((r) => /^[-+]/.test(r[4])).length;
  };
  assert.equal(await shown("0.0005"), all.filter((r) => r[4]).length);
  assert.equal(await shown("0,0015"), 1);  // over the one that is withdrawn
  assert.equal(await shown("0.0025"), 0);
  await field.fill("much");
  await field.press("Enter");
  assert.match(await browser.page.textContent("form.choose"), /Write a number/);
  await field.fill("");
  await field.press("Enter");
  assert.ok((await browser.page.textContent("main")).includes("Each change of offsets/tool/2/length"));
});

test("nothing is in the way of a keyboard or a reader, on any size", async () => {
  const urls = [shop(), mill("between/2/9"), mill("stood/5/offsets"), mill("timeline"), mill("backup/9"), mill("item/offsets/tool/2/length")];
  await checkAccess({viewport: {width: 1440, height: 900}}, urls);
  await checkAccess({viewport: {width: 390, height: 800}, colorScheme: "dark"}, urls);
});
