// A shop in a scratch folder, and a browser over its pages. All machines, values and names are invented.
"use strict";
const {execFileSync, spawn} = require("node:child_process");
const assert = require("node:assert");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const {chromium} = require("playwright-core");

const scratch = fs.mkdtempSync(path.join(os.tmpdir(), "keepway-pages-"));
process.on("exit", () => fs.rmSync(scratch, {recursive: true, force: true}));
const home = path.join(scratch, "home");
fs.mkdirSync(home);
const env = {...process.env, HOME: home, KEEPWAY_SHOP: path.join(scratch, "shop"), GIT_CONFIG_NOSYSTEM: "1", LC_ALL: "C.UTF-8"};

// keepway's answer; exit 1 means that there is something to look at.
function keepway(...args) {
  try {
    return execFileSync(process.env.KEEPWAY, args, {env, encoding: "utf8", stdio: ["ignore", "pipe", "pipe"], maxBuffer: 1 << 28});
  } catch (error) {
    if (error.status === 1) return error.stdout;
    throw new Error("keepway " + args.join(" ") + ": " + error.status + "\n" + error.stderr);
  }
}
const json = (...args) => JSON.parse(keepway(...args, "--json"));

const flags = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
  "--disable-background-networking", "--disable-component-update", "--disable-sync"];
const executablePath = execFileSync("sh", ["-c", "command -v chromium"], {encoding: "utf8"}).trim();

// A page in a browser of its own. What the page complains of is kept in `complaints`.
async function open(look = {}) {
  const profile = fs.mkdtempSync(path.join(scratch, "profile-"));
  const context = await chromium.launchPersistentContext(profile, {executablePath, args: flags, colorScheme: "light", viewport: {width: 1440, height: 900}, ...look});
  const page = context.pages()[0] || await context.newPage();
  const complaints = [];
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) complaints.push(message.text());
  });
  page.on("pageerror", (error) => complaints.push(String(error)));
  page.on("request", (request) => {
    if (/^(https?|wss?):/.test(request.url()) && !request.url().startsWith("http://127.0.0.1:")) complaints.push("asks the network for " + request.url());
  });
  const go = async (url) => {
    await page.goto(url);
    const hash = decodeURIComponent(new URL(url).hash) || null;
    await page.waitForFunction((wanted) => {
      const main = document.querySelector("main[data-shown]");
      return main && (wanted === null || decodeURIComponent(main.dataset.shown) === wanted);
    }, hash, {timeout: 10000});
  };
  return {context, page, complaints, go, close: () => context.close()};
}

// axe finds nothing serious on these pages, none is wider than its window, and none complains.
async function checkAccess(look, urls) {
  const other = await open(look);
  try {
    for (const url of urls) {
      await other.go(url);
      const ran = await other.page.evaluate(fs.readFileSync(require.resolve("axe-core"), "utf8") + "; axe.run(document, {preload: false})");
      const bad = ran.violations.filter((v) => ["serious", "critical"].includes(v.impact))
        .map((v) => url + " " + v.id + ": " + v.nodes.map((n) => n.target.join(" ") + " " + n.failureSummary).slice(0, 3).join("; "));
      assert.deepEqual(bad, []);
      const over = await other.page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      assert.ok(over <= 0, url + " is " + over + " px too wide");
    }
    assert.deepEqual(other.complaints, []);
  } finally {
    await other.close();
  }
}

const fileUrl = (file) => "file://" + encodeURI(file);

module.exports = {scratch, env, keepway, json, open, checkAccess, fileUrl, spawn, executablePath, flags};
