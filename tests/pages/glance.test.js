// The first page, an item's page and its chart, with a memory that was lost, a jump and hundreds of values.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const {scratch, env, keepway, json, open, checkAccess, fileUrl} = require("./support");
const {names, layout} = require("./shop");

let site;
let browser;
const at = (hash, machine = "lathe") => fileUrl(path.join(site, "machines", machine, "index.html")) + hash;
const main = () => browser.page.locator("main");
const text = () => main().innerText();
const date = (n) => new Date(Date.UTC(2025, 8, 1 + 7 * n)).toISOString().slice(0, 10);

// Zeros throughout where the memory was lost. Tool 3 wears by 0.002 a week; G54 X jumps at 20.
function files(n, isLost) {
  const z = (value) => isLost ? "0" : value;
  const tools = [1, 2, 3, 4].map((t) => `${t},${z(t === 4 ? "0" : (t === 3 ? 5 - n * 0.002 : 5 + t).toFixed(4))},${z(t === 4 ? "0" : "0.5")},${t === 4 || isLost ? "" : "drill " + t}`);
  return {
    "JOBS.5": `%\nO1000 (BUSHING)\nN10 G20 G90 G54\nN20 T1 M6\nN30 S${n < 28 ? 900 : 950} M3\nN40 G0 X0. Y0.\nN50 M30\n%\n`,
    "TOOLS.5": "tool,length,diameter,note\n" + tools.join("\n") + "\n",
    "ZEROS.5": `G10 L2 P1 X${z(n < 20 ? "-14.251" : "-1.551")} Y${z("-3.5")}\nG10 L2 P2 X0 Y0\n`,
    "CELLS.5": `#300=${z(String(12 + n * 31))}\n#301=${z(n < 25 ? "0.25" : "0.375")}\n`,
  };
}

function take(machine, n, options = {}) {
  const folder = path.join(scratch, machine + "-" + n);
  fs.mkdirSync(folder);
  for (const [name, bytes] of Object.entries(files(n, options.isLost))) fs.writeFileSync(path.join(folder, name), bytes);
  keepway("intake", machine, folder, "--at", options.at || date(n), "--by", n % 2 ? "Tom" : "Ida");
}

before(async () => {
  keepway("init", env.KEEPWAY_SHOP, "--title", "Invented shop");
  const file = path.join(scratch, "lathe.toml");
  fs.writeFileSync(file, layout);
  for (const machine of ["lathe", "dead", "clock"]) {
    keepway("enroll", machine, "--layout", file, "--serial", "5", "--title", "Invented lathe " + machine);
    fs.writeFileSync(path.join(env.KEEPWAY_SHOP, machine, "namebook.tsv"), names(""));
    fs.appendFileSync(path.join(env.KEEPWAY_SHOP, machine, "machine.toml"), "backup_every_days = 14\n\n[battery]\nchanged = 2024-01-31\nevery_months = 12\n");
  }
  for (let n = 0; n < 30; ++n) take("lathe", n, {isLost: n === 10 || n === 11});
  for (let n = 0; n < 6; ++n) take("dead", n, {isLost: n === 5});
  // After a new battery the control's clock began again in 1980; the memory was typed in otherwise.
  for (let n = 0; n < 6; ++n) take("clock", n);
  take("clock", 21, {at: "1980-01-01"});
  take("clock", 22, {at: date(7)});
  keepway("trial", "dead", "begin", "warm-up");
  keepway("trial", "dead", "pause", "warm-up");
  site = path.join(scratch, "glance-site");
  keepway("report", "--all", "--to", site);
  browser = await open({viewport: {width: 1280, height: 900}});
});
after(async () => {
  if (browser) await browser.close();
});

test("the made-up memory loss is one", () => {
  const worths = json("history", "lathe").backups.reverse().map((b) => b.verdict[0]).join("");
  assert.equal(worths, "g".repeat(10) + "dd" + "g".repeat(18));
});

test("the first page says what the newest backup is worth, what is due and what changed", async () => {
  await browser.go(at(""));
  const said = await text();
  assert.match(said, /The newest backup is ✓ good and .* old: #30 of 23 Mar 2026, by Tom/);
  assert.match(said, /Backup: OVERDUE since 6 Apr 2026/);
  assert.match(said, /Memory battery: OVERDUE since 31 Jan 2025/);
  // The jump of G54 X with its amount and why it is warned of; a put-back memory is no change.
  const jump = json("changes", "lathe", "20", "21").values.find((v) => v.address === "offsets/work/G54/X");
  assert.equal(jump.delta, "+12.7");
  assert.ok(said.includes("Work G54 X +12.7 in to -1.551 in, caution: "), said);
  assert.match(said, /O1000 changed in 1 place/);
  assert.ok(!said.includes("#13"), "what was put back is no change");
});

test("what creeps is on the first page and on Trends, with its uncertainty", async () => {
  await browser.go(at(""));
  // 0.002 a week: in a year of 365.25 days 0.10436.
  assert.match(await text(), /Tool 3 length: −0\.104\d* in a year/);
  await browser.go(at("#/trends"));
  const row = main().locator("tbody tr").filter({hasText: "offsets/tool/3/length"});
  assert.match(await row.innerText(), /−0\.104\d* in\s+−0\.10\d* to −0\.10\d* in\s+28/);
});

test("the grids have work offsets by axis and tools, zeros folded, each cell with its age", async () => {
  await browser.go(at(""));
  const work = main().locator("table.grid").first();
  assert.deepEqual((await work.locator("thead th").allInnerTexts()).slice(0, 3), ["work", "X", "Y"]);
  assert.match(await work.locator("tbody tr").first().innerText(), /G54\s+-1\.551\s+\d+ \w+\s+-3\.5\s+over \d+ months/);
  assert.equal(await work.locator("tbody tr").count(), 1);
  assert.match(await text(), /1 row is all zero: G55/);
  const tools = main().locator("table.grid").nth(1);
  assert.deepEqual((await tools.locator("thead th").allInnerTexts()), ["tool", "note", "length", "diameter"]);
  assert.equal(await tools.locator("tbody tr").count(), 3);
  await work.getByRole("link", {name: /^G54 X: -1\.551/}).click();
  await browser.page.waitForSelector("main[data-shown='#/item/offsets/work/G54/X']");
});

test("an item's page opens with what it is, since when, what it was and by whom; lost memory is folded", async () => {
  await browser.go(at("#/item/offsets/work/G54/X"));
  const said = await text();
  assert.ok(said.includes("-1.551 in since 19 Jan 2026, was -14.251 (+12.7), by Ida in #21."), said);
  assert.match(said, /memory lost 10 Nov to 24 Nov 2025, put back as before/);
  assert.ok(!/Now 0/.test(said));
  const rows = (await main().locator(".listing tbody tr").allInnerTexts()).map((r) => r.split("\t").slice(1, 5));
  assert.deepEqual(rows, [["#21", "-14.251", "-1.551", "+12.7"], ["#1", "none", "-14.251", ""]]);
});

test("where the newest backup is doubtful, the last good value comes first and the doubt is said with its remedy", async () => {
  await browser.go(at("#/item/offsets/work/G54/X", "dead"));
  let said = await text();
  assert.match(said, /By the last good backup: -14\.251 in since the first backup, 1 Sep 2025, by Ida in #1\./);
  assert.match(said, /Since 6 Oct 2025, #6, only doubtful backups: they show 0\.000\. memory lost/);
  assert.match(said, /do: /);
  await browser.go(at("", "dead"));
  said = await text();
  assert.match(said, /The newest backup is \? doubtful/);
  assert.match(said, /The last good one is .*#5 of 29 Sep 2025/);
  assert.match(said, /Trial warm-up is paused/);
  assert.match(await main().locator("table.grid").first().innerText(), /-14\.251[\s\S]*\? newest: 0\.000/);
  await browser.go(at("#/items/offsets", "dead"));
  assert.match(await main().locator("tbody tr").filter({hasText: "work/G54/X"}).innerText(), /\? 0\.000 in\s+last good: -14\.251 in/);
});

test("a backup with a wrong clock stretches no chart, and its day is said to be unknown", async () => {
  const wrong = json("history", "clock").backups.find((b) => b.number === 7);
  assert.match(wrong.reasons[0], /^clock-behind: /);
  await browser.go(at("#/item/offsets/work/G54/X", "clock"));
  assert.match(await text(), /-1\.551 in since an unknown day \(dated 1 Jan 1980\), was -14\.251 \(\+12\.7\), by Tom in #7\./);
  await browser.page.waitForSelector(".plot canvas");
  assert.ok(await browser.page.evaluate(() => keepway.charts[0].data[0][0] > Date.UTC(2025, 0, 1) / 1000));
  await browser.go(at("#/heat", "clock"));
  assert.match(await main().locator("table.heat th.date").first().innerText(), /^2025-09-01/);
  await browser.go(at("#/items/offsets", "clock"));
  assert.match(await text(), /work\/G54\/X[\s\S]*day unknown/);
  await browser.go(at("", "clock"));
  assert.match(await text(), /8 backups since 1 Sep 2025/);
  assert.match(await text(), /The newest backup is ✓ good and .*: #8 of 20 Oct 2025/);
});

test("a chart's scale is that of good values, and its table says every one", async () => {
  await browser.go(at("#/item/offsets/tool/3/length"));
  await browser.page.waitForSelector(".plot canvas");
  const drawn = await browser.page.evaluate(() => {
    const {plot, data} = keepway.charts[0];
    return {y: [plot.scales.y.min, plot.scales.y.max], x: plot.scales.x.max, values: Array.from(data[1]), end: plot.data[0][data[0].length - 1]};
  });
  assert.ok(drawn.y[0] > 4.9 && drawn.y[1] < 5.1, String(drawn.y));
  assert.equal(drawn.values.filter((v) => v === null).length, 2);
  assert.ok(drawn.x > drawn.end + 14 * 86400, "up to today, since no backup came");
  await browser.page.getByText("The chart as a table").click();
  await main().locator("details.as-table tbody tr").first().waitFor();  // made when it is opened
  const rows = await main().locator("details.as-table tbody tr").allInnerTexts();
  assert.equal(rows.length, 30);
  assert.match(rows[18], /#12\s+0\.0000 in, doubtful\s+\? doubtful/);
});

test("by keyboard every point of a chart is read, and opens its backup", async () => {
  await browser.go(at("#/item/offsets/tool/3/length"));
  await browser.page.waitForSelector(".plot canvas");
  await browser.page.locator(".plot").focus();
  const readout = () => browser.page.locator(".readout").innerText();
  const seen = [];
  await browser.page.keyboard.press("Home");
  for (let i = 0; i < 30; ++i) {
    seen.push(/^#(\d+)/.exec(await readout())[1]);
    await browser.page.keyboard.press("ArrowRight");
  }
  assert.deepEqual(seen, Array.from({length: 30}, (_, i) => String(i + 1)));
  await browser.page.keyboard.press("Enter");
  await browser.page.waitForSelector("main[data-shown='#/backup/30']");
});

test("two clicks on a chart show the whole again; one opens the backup", async () => {
  await browser.go(at("#/item/offsets/tool/3/length"));
  await browser.page.waitForSelector(".plot canvas");
  const scale = () => browser.page.evaluate(() => [keepway.charts[0].plot.scales.x.min, keepway.charts[0].plot.scales.y.max]);
  const whole = await scale();
  const box = await browser.page.locator(".u-over").boundingBox();
  await browser.page.mouse.move(box.x + 60, box.y + 80);
  await browser.page.mouse.down();
  await browser.page.mouse.move(box.x + 200, box.y + 80, {steps: 4});
  await browser.page.mouse.up();
  const closer = await scale();
  assert.ok(closer[0] > whole[0] && closer[1] !== whole[1], "both axes look closer");
  await browser.page.mouse.dblclick(box.x + 100, box.y + 60);
  await browser.page.waitForFunction((x) => keepway.charts[0] && keepway.charts[0].plot.scales.x.min === x, whole[0]);
  await browser.page.waitForTimeout(500);
  assert.match(browser.page.url(), /#\/item\/offsets\/tool\/3\/length$/);
  await browser.page.mouse.click(box.x + 100, box.y + 60);
  await browser.page.waitForSelector("main[data-shown^='#/backup/']");
});

test("on a phone the list of pages shows which one it is", async () => {
  const phone = await open({viewport: {width: 390, height: 844}});
  try {
    await phone.go(at("#/heat"));
    const [own, all] = await phone.page.evaluate(() => ["nav a[aria-current]", "nav"].map((which) => {
      const box = document.querySelector(which).getBoundingClientRect();
      return [box.left, box.right];
    }));
    assert.ok(own[0] >= all[0] && own[1] <= all[1] + 1, own + " in " + all);
  } finally {
    await phone.close();
  }
});

test("a search understands a backup's number, a day and a name", async () => {
  const search = async (words) => {
    await browser.go(at("#/search/" + encodeURIComponent(words)));
    return text();
  };
  assert.match(await search("#21"), /Backup\s+#21 of 19 Jan 2026, by Ida/);
  assert.match(await search("#99"), /There is no backup #99; the newest is #30/);
  for (const day of ["2026-01-19", "19 Jan 2026", "19 January"]) assert.match(await search(day), /Backups of 19 Jan 2026\s+#21/);
  assert.match(await search("20 Jan 2026"), /No backup of 20 Jan 2026\s+The one before: #21[\s\S]*The one after: #22 of 26 Jan 2026/);
  assert.match(await search("tom"), /Tom: 15 backups/);
  // The tool of that number before the one whose value has the digit.
  await search("tool 4");
  assert.deepEqual((await browser.page.locator("tbody tr td:first-child").allInnerTexts()).slice(0, 2).map((text) => text.split("/").slice(0, 3).join("/")), ["offsets/tool/4", "offsets/tool/4"]);
  await browser.go(at("#/timeline"));
  await browser.page.getByLabel("Day").fill("2026-01-19");
  await browser.page.getByRole("button", {name: "Go", exact: true}).click();
  await browser.page.waitForSelector("h2:has-text('Backups of 19 Jan 2026')");
});

test("Back shows a page as it was left: filter, order and how far down", async () => {
  const page = browser.page;
  await page.setViewportSize({width: 1280, height: 500});
  await browser.go(at("#/items/offsets"));
  await page.getByLabel("Find an item, a name, a value, a person").fill("tool");
  await page.getByRole("columnheader", {name: "value"}).getByRole("button").click();
  await page.waitForFunction(() => document.querySelectorAll("tbody tr").length === 11);
  await page.mouse.wheel(0, 220);
  await page.waitForFunction(() => scrollY === 220);
  const left = await main().locator("tbody tr").allInnerTexts();
  await main().getByRole("link", {name: "tool/3/length"}).evaluate((link) => link.click());
  await page.waitForSelector("main[data-shown='#/item/offsets/tool/3/length']");
  assert.equal(await page.evaluate(() => scrollY), 0);
  await page.goBack();
  await page.waitForSelector("main[data-shown='#/items/offsets']");
  assert.deepEqual(await main().locator("tbody tr").allInnerTexts(), left);
  assert.equal(await page.getByLabel("Find an item, a name, a value, a person").inputValue(), "tool");
  assert.equal(await page.evaluate(() => scrollY), 220);
  await page.goForward();
  await page.waitForSelector("main[data-shown='#/item/offsets/tool/3/length']");
  await browser.go(at("#/timeline"));
  await page.getByLabel("good", {exact: true}).uncheck();
  await page.waitForFunction(() => document.querySelectorAll("li.backup").length === 2);
  await main().getByRole("link", {name: "#11", exact: true}).click();
  await page.waitForSelector("main[data-shown='#/backup/11']");
  await page.goBack();
  await page.waitForSelector("main[data-shown='#/timeline']");
  assert.equal(await page.locator("li.backup").count(), 2);
  await page.setViewportSize({width: 1280, height: 900});
});

for (const look of [{colorScheme: "light", viewport: {width: 1280, height: 900}}, {colorScheme: "dark", viewport: {width: 390, height: 844}}]) {
  test("axe finds nothing serious on these, " + look.colorScheme + " at " + look.viewport.width, async () => {
    await checkAccess(look, [at(""), at("", "dead"), at("#/item/offsets/work/G54/X"), at("#/item/offsets/work/G54/X", "dead"), at("#/items/offsets", "dead"), at("#/search/2026-01-19")]);
  });
}

test("no page complained, and none asked the network for anything", () => {
  assert.deepEqual(browser.complaints, []);
});
