// The four questions that a machinist asks, on a shop like life: each is answered on the first page, or one click
// away. On three sizes, light and dark. And no page is wider than its window, or says what is not for people.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const {env, json, open, scratch} = require("./support");
const {counter, endAll, enter, isAccessible, isFlawless} = require("./at_counter");
const {makeLife, files} = require("./life");

const weeks = 30;
const looks = {desk: {viewport: {width: 1280, height: 900}}, tablet: {viewport: {width: 820, height: 1180}, colorScheme: "dark"}, phone: {viewport: {width: 390, height: 844}, hasTouch: true, isMobile: true}};
let base;
let browser;

before(async () => {
  makeLife(weeks);
  const {url} = await counter();
  base = url.replace(/#.*/, "");
  browser = await open(looks.desk);
  await enter(browser.page, url);
});
after(async () => {
  if (browser) await browser.close();
  endAll();
});

const text = () => browser.page.locator("main").innerText();
async function go(machine, hash) {
  await browser.page.goto("about:blank");
  await browser.page.goto(base + "machines/" + machine + "/index.html#/" + hash);
  await browser.page.waitForFunction((wanted) => {
    const main = document.querySelector("main[data-shown]");
    return main && decodeURIComponent(main.dataset.shown) === wanted;
  }, "#/" + decodeURIComponent(hash));
}

for (const [size, look] of Object.entries(looks)) {
  test("the four questions, " + size, async () => {
    const page = browser.page;
    await page.setViewportSize(look.viewport);
    await page.emulateMedia({colorScheme: look.colorScheme || "light"});
    const isBelow = async (locator) => (await locator.first().boundingBox()).y;

    // Is the newest backup good, and is anything due? At the top of the first page, and in the list of machines.
    await go("lathe", "glance");
    assert.match(await text(), /The newest backup is ✓ good and 21 days old: #30 of /);
    assert.match(await text(), /Backup: OVERDUE since [\s\S]*Memory battery: OVERDUE since /);
    assert.ok(await isBelow(page.locator(".due")) < look.viewport.height);
    await page.goto("about:blank");
    await page.goto(base + "index.html");
    await page.waitForSelector("main[data-shown='shop']");
    const row = (name) => page.locator("tbody tr", {has: page.getByRole("link", {name, exact: true})});
    assert.match(await row("lathe").innerText(), /✓ good[\s\S]*Backup: OVERDUE since [\s\S]*Battery: OVERDUE since /);
    assert.match(await row("mill").innerText(), /Backup: due [\s\S]*trial deeper-cuts in progress/);
    assert.ok(await isBelow(row("lathe").getByText("OVERDUE")) < look.viewport.height);

    // When did G55 Y change, and by how much? One click from the grid of the first page.
    await go("lathe", "glance");
    const cell = page.getByRole("link", {name: /^G55 Y: -6\.0000/});
    await cell.click();
    await page.waitForSelector("main[data-shown='#/item/offsets/work/G55/Y']");
    assert.match(await text(), /-6\.0000 in since the first backup/);
    await go("lathe", "item/variables/301");
    assert.match(await text(), /0\.3740 in since \d+ \w+ \d+, was 0\.2362 \(\+0\.1378\), by [\w Äöß]+ in #26\./);
    assert.match(await text(), /memory lost .* put back as before/);
    assert.ok(await isBelow(page.locator(".now")) < look.viewport.height);

    // What happened on a day? Asked for on the first page; a day without a backup is answered by the next one.
    await go("lathe", "glance");
    const backups = json("history", "lathe").backups;
    const at = (n) => backups.find((b) => b.number === n).at.slice(0, 10);
    await page.getByLabel("Day").fill(at(26));
    await page.getByRole("button", {name: "Go", exact: true}).click();
    await page.waitForSelector("h2:has-text('Backups of')");
    assert.match(await text(), /Größte Zustellung <b>quer<\/b> & längs \+0\.1378 in to 0\.3740 in/);
    const between = new Date(Date.parse(at(26)) + 2 * 86400000).toISOString().slice(0, 10);
    await go("lathe", "search/" + between);
    assert.match(await text(), /No backup of [\s\S]*Found changed by #27 of [\s\S]*Tool 3 length -0\.000\d in to /);

    // Which tool creeps? On the first page, with its rate; one click to its chart.
    await go("lathe", "glance");
    assert.match(await text(), /What drifts most\s+Tool 3 length: −0\.02\d* in a year/);
    await page.getByRole("link", {name: "Tool 3 length", exact: true}).click();
    await page.waitForSelector(".plot canvas");
    assert.match(await text(), /Tool 3 length[\s\S]*3\.\d{4} in since /);
  });
}

test("numbers are as the control writes them on every page that has them", async () => {
  await browser.page.setViewportSize(looks.desk.viewport);
  for (const [machine, hash, wanted] of [["mill", "glance", /G55\s+-254\.000/], ["lathe", "glance", /G55\s+-10\.0000/], ["mill", "items/offsets", /work\/G55\/X[\s\S]*?-254\.000 mm/],
    ["mill", "stood/12/offsets", /work\/G55\/X[\s\S]*?-254\.000 mm/], ["mill", "backup/26", /0?6\.000 mm\s+9\.500 mm/], ["mill", "trends", /Tool 3 length[\s\S]*?8\d\.\d{3} mm/], ["mill", "between/20/28", /6\.000 mm\s+9\.500 mm/]]) {
    await go(machine, hash);
    assert.match(await text(), wanted, machine + " " + hash);
    assert.ok(!/\d\.(?=\s|$)(?! [A-Z])/.test((await browser.page.locator("table").allInnerTexts()).join("\n").replace(/\. [A-Z]/g, "")), hash + ": a bare point");
  }
  await go("mill", "trial");
  await browser.page.getByLabel("Keep offsets/tool/3/length").waitFor();
  assert.match(await text(), /offsets\/tool\/3\/length\s+Tool 3 length\s+\d+\.\d{3} mm\s+\d+\.\d{3} mm/);
});

test("a trial's boxes are as they were left, and there is no column of nothing", async () => {
  await go("mill", "trial");
  const box = browser.page.getByLabel("Keep offsets/tool/3/length");
  await box.uncheck();
  await browser.page.getByRole("link", {name: "offsets/tool/3/length"}).click();
  await browser.page.waitForSelector("main[data-shown='#/item/offsets/tool/3/length']");
  await browser.page.goBack();
  await box.waitFor();
  assert.ok(!await box.isChecked());
  assert.ok(await browser.page.getByLabel("Keep variables/300").isChecked());
  assert.equal(await browser.page.getByRole("columnheader", {name: "main"}).count(), 0);
  assert.ok(!await browser.page.getByLabel("Its name").isVisible(), "another trial is begun where one asks for it");
});

test("what lost memory changed is no change, and codes are for programs", async () => {
  const lost = json("history", "lathe").backups.find((b) => /^memory-lost/.test(b.reasons[0] || ""));
  await go("lathe", "heat");
  assert.ok(await browser.page.locator("table.heat tbody tr").count() < 12);
  await go("lathe", "program/O1001");
  assert.match(await text(), /As of backup #1 [\s\S]*\? memory lost/);
  assert.equal(await browser.page.getByText(/^Its \d+ versions/).count(), 0);
  await go("lathe", "items/programs");
  assert.ok(!(await text()).includes("#" + (lost.number + 1)));
  await go("lathe", "stood/28/offsets");
  assert.match(await browser.page.locator("tbody tr").filter({hasText: "tool/1/length"}).innerText(), /first backup/);
  for (const hash of ["backup/" + lost.number, "timeline"]) {
    await go("lathe", hash);
    assert.match(await text(), /every value of parameters is zero or default now/);
    assert.ok(!/memory-lost:/.test(await text()), hash);
  }
});

test("a doubtful backup that is dropped says one remedy of several reasons once", async () => {
  await go("lathe", "intake");
  const folder = path.join(scratch, "life", "dropped");
  fs.mkdirSync(folder);
  for (const [name, bytes] of Object.entries(files("inch", "2207", weeks + 2, true))) fs.writeFileSync(path.join(folder, name), bytes);
  await browser.page.getByLabel("Choose a folder").setInputFiles(folder);
  await browser.page.getByRole("heading", {name: "Take it in?"}).waitFor();
  const remedies = await browser.page.locator("ul.reasons .note").allInnerTexts();
  assert.ok(remedies.some((r) => /check its battery/.test(r)));
  remedies.forEach((r, i) => assert.notEqual(r, remedies[i + 1]));
  assert.match(await browser.page.locator(".cautions").innerText(), /went from -11\.7706 to 0\.0000/);
  for (const look of Object.values(looks)) {
    await browser.page.setViewportSize(look.viewport);
    await isAccessible(browser.page, "intake");
  }
});

test("a list that was proposed to be left out is read when its box is unticked", async () => {
  const page = browser.page;
  await page.goto("about:blank");
  await page.goto(base + "index.html#/enroll");
  await page.waitForSelector("main[data-shown='enroll']");
  const folder = path.join(scratch, "life", "listed");
  fs.mkdirSync(folder);
  fs.writeFileSync(path.join(folder, "DIRECT.PRN"), "PROGRAM DIRECTORY                    MILL 7\r\n NO    SIZE   REMARK\r\nO0100   340   FACE\r\nO0200   120   DRILL\r\n");
  fs.writeFileSync(path.join(folder, "PARTS.PRN"), "%\r\nO0100\r\nG21\r\nG0 X1.\r\nM30\r\nO0200\r\nG0 X2.\r\nM30\r\n%\r\n");
  await page.getByLabel("Choose a folder").setInputFiles(folder);
  await page.getByRole("heading", {name: "What is read of it"}).waitFor();
  const list = page.locator(".source", {hasText: "DIRECT.PRN"});
  const box = page.getByLabel("Leave out DIRECT.PRN: no line of it is data");
  assert.ok(await box.isChecked());
  assert.match(await list.innerText(), /Left out: kept as it comes/);
  assert.match(await page.locator("ol.code").textContent(), /data += false/);
  await isAccessible(page, "proposed");
  await box.uncheck();
  await list.getByRole("button", {name: "Read it again with these"}).click();
  await page.getByText("parameters/O0100").or(page.getByText(/parameters\/\S*100/)).first().waitFor();
  assert.ok(!await box.isChecked());
  assert.ok(!/data += false/.test(await page.locator("ol.code").textContent()));
  await page.getByLabel("Short name").fill("listed");
  await page.getByRole("button", {name: "Enroll the machine"}).click();
  await page.getByRole("heading", {name: "Enrolled"}).waitFor();
  const stored = fs.readFileSync(path.join(env.KEEPWAY_SHOP, "listed", "layout.toml"), "utf8");
  assert.match(stored, /DIRECT\.PRN/);
  assert.ok(!/data += false/.test(stored), "as it was read when it was enrolled");
});

const everywhere = ["glance", "timeline", "items/offsets", "items/parameters", "items/programs", "item/parameters/121", "item/offsets/tool/3/length", "program/O1000", "backup/21", "stood/20", "between/2/28", "search/tool%203", "trends", "heat", "intake", "restore", "trial", "care"];
for (const [size, look] of Object.entries(looks)) {
  test("nothing is in the way of a keyboard or a reader, " + size, {timeout: 120000}, async () => {
    await browser.page.setViewportSize(look.viewport);
    await browser.page.emulateMedia({colorScheme: look.colorScheme || "light"});
    for (const hash of everywhere) {
      await go("lathe", hash);
      await isAccessible(browser.page, hash + ", " + size);
    }
    await browser.page.goto("about:blank");
    await browser.page.goto(base + "index.html#/twins/mill/mill-2");
    await browser.page.waitForSelector("main[data-shown='twins']");
    await isAccessible(browser.page, "twins, " + size);
  });
}

test("axe finds nothing at all, however small, at any size, light, dark and printed", {timeout: 240000}, async () => {
  const page = browser.page;
  for (const [machine, hash] of [["lathe", "glance"], ["mill", "trial"], ["lathe", "program/O1000"], ["lathe", "search/3 Mar 2026"]]) {
    await go(machine, hash);
    if (hash === "trial") await page.getByLabel("Keep offsets/tool/3/length").waitFor();
    await isFlawless(page, "life-" + machine + "-" + hash.replace(/\W/g, "-"));
  }
  for (const [hash, shown] of [["", "shop"], ["twins/mill/mill-2", "twins"]]) {
    await page.goto("about:blank");
    await page.goto(base + "index.html#/" + hash);
    await page.waitForSelector("main[data-shown='" + shown + "']");
    await isFlawless(page, "life-" + shown);
  }
});

test("no page complained", () => {
  assert.deepEqual(browser.complaints, []);
});
