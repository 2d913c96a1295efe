// The report in a real browser, from the disk.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const {scratch, keepway, json, open, checkAccess, fileUrl} = require("./support");
const {makeShop, evil} = require("./shop");

let site;
let browser;
const at = (machine, hash) => fileUrl(path.join(site, "machines", machine, "index.html")) + hash;
const main = (page) => page.locator("main");

before(async () => {
  makeShop();
  site = path.join(scratch, "site");
  keepway("report", "--all", "--to", site);
  browser = await open();
});
after(async () => {
  if (browser) await browser.close();
});

test("the list of machines opens from the disk and leads to each", async () => {
  await browser.go(fileUrl(path.join(site, "index.html")));
  await browser.page.getByRole("link", {name: "mill", exact: true}).click();
  await browser.page.waitForSelector("main[data-shown='#/glance']");
  assert.equal(await main(browser.page).locator("h1").textContent(), "Invented mill");
});

test("the timeline tells verdicts, marks and missing backups", async () => {
  await browser.go(at("mill", "#/timeline"));
  const text = await main(browser.page).innerText();
  const history = json("history", "mill").backups;
  for (const backup of history) assert.ok(text.includes(backup.gist), backup.gist);
  assert.equal(await browser.page.locator("li.backup").count(), history.length);
  assert.equal(await browser.page.locator("li.backup.good").count(), history.filter((b) => b.verdict === "good").length);
  assert.match(text, /known good/);
  assert.match(text, /4 backups are missing between 2026-02-09 and 2026-03-16/);
});

test("a backup's page tells what `changes` tells", async () => {
  await browser.go(at("mill", "#/backup/6"));
  const said = json("changes", "mill", "5", "6");
  const rows = await main(browser.page).locator("tbody tr").allInnerTexts();
  assert.equal(rows.length, said.values.length);
  for (const value of said.values) {
    const row = rows.find((r) => r.startsWith(value.address + "\t"));
    assert.ok(row, value.address);
    if (value.delta) assert.ok(row.includes(value.delta), row);
  }
  const jump = rows.find((r) => r.startsWith("offsets/work/G54/X"));
  assert.match(jump, /12\.8259/);
  assert.match(jump, /larger than 0\.5/);
});

test("the items of a group can be searched and sorted, and say since when and by whom", async () => {
  await browser.go(at("mill", "#/items/offsets"));
  const page = browser.page;
  const first = () => page.locator("tbody tr").allInnerTexts();
  const all = await first();
  const since = json("when", "mill", "--all", "offsets").items;
  assert.equal(all.length, since.length);
  for (const item of since) {
    const row = all.find((r) => r.startsWith(item.address.replace("offsets/", "") + "\t"));
    assert.ok(row.includes(item.since.slice(0, 10)) && row.includes("#" + item.backup) && row.includes(item.by), row);
  }
  await page.getByLabel("Find an item, a name, a value, a person").fill("tool/2/length");
  await page.waitForFunction(() => document.querySelectorAll("tbody tr").length === 1);
  assert.match((await first())[0], /^tool\/2\/length/);
  await page.getByLabel("Find an item, a name, a value, a person").fill("length");
  await page.waitForFunction(() => document.querySelectorAll("tbody tr").length === 4);
  const heading = page.getByRole("columnheader", {name: "value"});
  await heading.getByRole("button").click();
  assert.equal(await heading.getAttribute("aria-sort"), "ascending");
  const values = (await first()).map((r) => Number(r.split("\t")[2].replace(" in", "")));
  assert.deepEqual(values, [...values].sort((a, b) => a - b));
  await page.keyboard.press("Enter");  // the heading's button has the focus: by keyboard too
  assert.equal(await heading.getAttribute("aria-sort"), "descending");
  const down = (await first()).map((r) => Number(r.split("\t")[2].replace(" in", "")));
  assert.deepEqual(down, [...values].reverse());
});

test("a trend has the values of `when`, exactly, in its table and its chart", async () => {
  for (const address of ["offsets/tool/2/length", "offsets/work/G54/X", "variables/300", "offsets/work/G55/Y"]) {
    await browser.go(at("mill", "#/item/" + address));
    const changes = json("when", "mill", address).changes;
    const rows = (await main(browser.page).locator("tbody tr").allInnerTexts()).map((r) => r.split("\t"));
    // The zeros that the control writes behind a number are no part of its normal form.
    const plain = (shown) => shown.replace(/(\.\d*?)0+$/, "$1");
    assert.deepEqual(rows.map((r) => [r[1], plain(r[2]), plain(r[3])]),
      changes.map((c) => ["#" + c.backup.number, c.before === null ? "none" : c.before, c.after === null ? "gone" : c.after]));
    if (address === "offsets/tool/2/length") assert.ok(rows.every((r) => /^\d\.\d{4}$/.test(r[3])), "as the control writes it");
    await browser.page.waitForSelector(".plot canvas");
    const drawn = await browser.page.evaluate(() => keepway.charts[0].data.map((list) => Array.from(list)));
    // By backup: the newest change at or before it; a gap has a point of its own with nothing.
    const backups = json("history", "mill").backups.reverse();
    const expected = backups.map((b) => [Date.parse(b.at) / 1000, Number(changes.find((c) => c.backup.number <= b.number).after)]);
    const points = drawn[0].map((x, i) => [x, drawn[1][i]]);
    // A slip of one backup, which would flatten the rest, is marked at the edge; the chart's table has it.
    const slip = expected.findIndex(([, value]) => value === -1.4251);
    if (slip >= 0) {
      expected.splice(slip, 1);
      await main(browser.page).getByText("The chart as a table").click();
      await main(browser.page).locator(".as-table tbody tr", {hasText: "-1.4251 in"}).waitFor();
    }
    assert.deepEqual(points.filter((p) => p[1] !== null), expected);
    assert.equal(points.filter((p) => p[1] === null).length, slip >= 0 ? 2 : 1);
  }
});

test("a program is shown, and two of its versions side by side", async () => {
  await browser.go(at("mill", "#/program/O1000"));
  const page = browser.page;
  assert.ok(await page.locator("ol.code .code-word").count() > 5);
  const listed = await page.locator("ol.code").first().locator("li").allInnerTexts();
  assert.deepEqual(listed.map((l) => l.trim()), json("show", "mill", "programs/O1000").program.trim().split("\n"));
  await page.getByRole("link", {name: "compare with #1"}).click();
  await page.waitForSelector("table.compare");
  assert.match(await page.locator("main .quiet").last().innerText(), /^1 place differs/);
  const row = page.locator("tr.exchanged");
  assert.equal(await row.count(), 1);
  assert.match(await row.innerText(), /F20[\s\S]*F22\.5/);
});

test("two programs are compared side by side by choice", async () => {
  await browser.go(at("mill", "#/compare"));
  const page = browser.page;
  await page.getByLabel("Right: program").selectOption("O1001");
  await page.waitForFunction(() => document.querySelectorAll("table.compare tr.exchanged").length > 0);
  const text = await page.locator("table.compare").innerText();
  assert.ok(text.includes("BRACKET REVERSED") && text.includes("F22.5") && text.includes("F18"));
});

test("small multiples show each tool, the heat map each item that changed", async () => {
  await browser.go(at("mill", "#/trends"));
  await browser.page.waitForFunction(() => document.querySelectorAll(".multiple canvas").length === 4);
  assert.match(await browser.page.locator(".multiple").first().innerText(), /Tool 2 length/);
  await browser.go(at("mill", "#/heat"));
  const rows = await browser.page.locator("table.heat tbody tr").count();
  const changed = ["offsets", "variables", "programs"].flatMap((g) => json("when", "mill", "--all", g).items).filter((i) => i.backup > 1);
  assert.ok(rows >= changed.length && changed.length > 3, rows + " " + changed.length);
});

test("a search finds items, notes and program texts", async () => {
  await browser.go(at("mill", "#/timeline"));
  await browser.page.getByLabel("Search this machine").fill("reversed");
  await browser.page.keyboard.press("Enter");
  await browser.page.waitForSelector("main[data-shown^='#/search']");
  assert.match(await main(browser.page).innerText(), /programs\/O1001/);
  await browser.page.getByLabel("Search this machine").fill("S1500");
  await browser.page.keyboard.press("Enter");
  await browser.page.getByRole("button", {name: "Look in notes and program texts too"}).click();
  await browser.page.waitForSelector("h2:has-text('Program texts')");
  assert.match(await main(browser.page).innerText(), /Program texts\s+O1001/);
});

const views = ["#/glance", "#/timeline", "#/backup/2", "#/backup/6", "#/items/offsets", "#/items/variables", "#/item/offsets/tool/2/length",
  "#/item/variables/300", "#/items/programs", "#/program/O1000", "#/compare/O1000/1/O1001/6", "#/trends", "#/heat", "#/search/tool"];

test("hostile text is text on every page", async () => {
  for (const view of views) {
    await browser.go(at("hostile", view));
    assert.equal(await browser.page.locator("main img, main script, main iframe").count(), 0, view);
    assert.match(await browser.page.locator("header").innerText(), /Title <img src=x/);
  }
  await browser.go(at("hostile", "#/timeline"));
  const text = await main(browser.page).innerText();
  assert.ok(text.includes("Note <img src=x onerror=alert(1)></script><script>alert(2)</script>&amp;"), text);
  // Git keeps no angle brackets in names.
  assert.ok(text.includes("By img src=x") && text.includes("Trial <img src=x"), text);
  await browser.go(at("hostile", "#/program/O1000"));
  assert.match(await main(browser.page).innerText(), /BRACKET<img src=x onerror=alert\(1\)>/i);
  await browser.go(at("hostile", "#/items/offsets"));
  assert.match(await main(browser.page).innerText(), /end mill 1<img src=x/);
  await browser.go(fileUrl(path.join(site, "index.html")));
  assert.match(await browser.page.locator("header").innerText(), /Invented shop <img src=x/);
  for (const name of fs.readdirSync(path.join(site, "machines", "hostile", "data"))) {
    const bytes = fs.readFileSync(path.join(site, "machines", "hostile", "data", name), "latin1");
    assert.ok(!/[<>&\x80-\xff]/.test(bytes), name);
  }
  assert.ok(evil.length > 0);
});

for (const look of [{colorScheme: "light", viewport: {width: 1440, height: 900}}, {colorScheme: "dark", viewport: {width: 390, height: 844}}]) {
  test("axe finds nothing serious, " + look.colorScheme + " at " + look.viewport.width, async () => {
    await checkAccess(look, [fileUrl(path.join(site, "index.html")), ...views.map((view) => at("mill", view))]);
  });
}

test("no page complained, and none asked the network for anything", () => {
  assert.deepEqual(browser.complaints, []);
});
