// A counter of its own for a test, a browser that has entered it, and what every page of it must be.
"use strict";
const assert = require("node:assert");
const {execFileSync} = require("node:child_process");
const fs = require("node:fs");
const path = require("node:path");
const {scratch, env, open, spawn} = require("./support");
const {files} = require("./shop");

const running = [];
const endAll = () => running.forEach((server) => server.kill());

// {url, pid}; each address is good for one browser.
const counter = (...machines) => counterIn(env.KEEPWAY_SHOP, ...machines);
async function counterIn(shop, ...machines) {
  const server = spawn(process.env.KEEPWAY, ["counter", ...machines, "--json"], {env: {...env, KEEPWAY_SHOP: shop}, stdio: ["ignore", "pipe", "inherit"]});
  running.push(server);
  return new Promise((done, failed) => {
    let text = "";
    server.stdout.on("data", (data) => {
      text += data;
      const found = /"url": "([^"]+)"/.exec(text);
      if (found) done({url: found[1], pid: server.pid});
    });
    server.on("exit", (code) => failed(new Error("keepway counter ended with " + code)));
  });
}

// The key is taken out of the address on the way in.
async function enter(page, url) {
  await page.goto(url);
  await page.waitForSelector("main[data-shown]");
}

// The mill at a counter of its own; nothing that was typed is more than text, and no page complains.
async function atCounter(look, work, ...options) {
  const {url} = await counter("mill", ...options);
  const browser = await open(look);
  try {
    await enter(browser.page, url);
    await work(browser.page);
    assert.equal(await browser.page.locator("main img").count(), 0);
    assert.deepEqual(browser.complaints, []);
  } finally {
    await browser.close();
  }
}

// A backup as it lies on a stick: its folder, and what is in it.
function backup(name, serial, n, more = {}) {
  const folder = path.join(scratch, "drop", name, "STICK");
  fs.mkdirSync(folder, {recursive: true});
  const all = {...files(serial, n), ...more};
  for (const [file, text] of Object.entries(all)) fs.writeFileSync(path.join(folder, file), text);
  return {folder, files: all};
}

// The image of a stick with many floppies, from folders; null leaves a place without a volume.
function stickImage(to, folders) {
  const spacing = 1572864;
  fs.writeFileSync(to, Buffer.alloc(folders.length * spacing));
  for (const [place, folder] of folders.entries()) {
    if (folder === null) continue;
    const image = to + ".floppy";
    fs.rmSync(image, {force: true});
    execFileSync("mkfs.fat", ["-C", "-n", "PLACE" + (place + 1), image, "1440"]);
    for (const file of fs.readdirSync(folder)) execFileSync("mcopy", ["-m", "-i", image, path.join(folder, file), "::"]);
    const stick = fs.openSync(to, "r+");
    fs.writeSync(stick, fs.readFileSync(image), 0, undefined, place * spacing);
    fs.closeSync(stick);
  }
  return to;
}

// Another page, read again: after an act the pages do so by themselves, at a moment of their own.
async function goTo(page, hash) {
  await page.evaluate((to) => history.replaceState(null, "", to), hash);
  await page.reload();
  await page.waitForSelector("main[data-shown='" + hash + "']");
}

async function findings(page) {
  const ran = await page.evaluate(fs.readFileSync(require.resolve("axe-core"), "utf8") + "; axe.run(document, {preload: false})");
  return ran.violations.map((v) => ({impact: v.impact, text: v.id + ": " + v.nodes.map((n) => n.target.join(" ")).slice(0, 3).join("; ")}));
}
async function isNarrow(page, where) {
  const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  assert.ok(over <= 0, where + " is " + over + " px too wide");
}

// axe over the page as it is now, and its width.
async function isAccessible(page, where) {
  assert.deepEqual((await findings(page)).filter((v) => ["serious", "critical"].includes(v.impact)).map((v) => v.text), [], where);
  await isNarrow(page, where);
}

// axe finds nothing at all: at three sizes, light and dark, and as it is printed. KEEPWAY_PAGES_SHOTS names a
// folder for pictures of it, to look at.
async function isFlawless(page, where) {
  const was = page.viewportSize();
  for (const [size, width, height] of [["desk", 1440, 900], ["tablet", 820, 1180], ["phone", 390, 844]]) {
    await page.setViewportSize({width, height});
    for (const [look, media] of [["light", {media: "screen", colorScheme: "light"}], ["dark", {media: "screen", colorScheme: "dark"}], ["print", {media: "print", colorScheme: "light"}]]) {
      if (look === "print" && size !== "desk") continue;
      await page.emulateMedia(media);
      const at = where + ", " + size + ", " + look;
      assert.deepEqual((await findings(page)).map((v) => v.text), [], at);
      await isNarrow(page, at);
      if (process.env.KEEPWAY_PAGES_SHOTS && (look !== "dark" || size === "phone"))
        await page.screenshot({path: path.join(process.env.KEEPWAY_PAGES_SHOTS, where + "-" + size + "-" + look + ".png"), fullPage: true});
    }
  }
  await page.emulateMedia({media: "screen", colorScheme: null});
  await page.setViewportSize(was);
}

const sizes = {desk: {viewport: {width: 1440, height: 900}}, phone: {viewport: {width: 390, height: 844}, hasTouch: true, isMobile: true, colorScheme: "dark"}};

module.exports = {counter, counterIn, endAll, enter, atCounter, backup, stickImage, goTo, isAccessible, isFlawless, sizes};
