// A day at the counter in a real browser: open, drop a backup, read its verdict, take it in, mark it, withdraw one,
// get the restore set. On a desk and on a phone.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const {execFileSync} = require("node:child_process");
const fs = require("node:fs");
const path = require("node:path");
const {scratch, env, json, open, spawn} = require("./support");
const {makeShop, files, evil} = require("./shop");

before(() => makeShop());

const running = [];
after(() => running.forEach((server) => server.kill()));

// A counter of its own, as each address is good for one browser.
async function counter(...machines) {
  const server = spawn(process.env.KEEPWAY, ["counter", ...machines, "--json"], {env, stdio: ["ignore", "pipe", "inherit"]});
  running.push(server);
  return new Promise((done, failed) => {
    let text = "";
    server.stdout.on("data", (data) => {
      text += data;
      const found = /"url": "([^"]+)"/.exec(text);
      if (found) done(found[1]);
    });
    server.on("exit", (code) => failed(new Error("keepway counter ended with " + code)));
  });
}

// The key is taken out of the address on the way in.
async function enter(page, url) {
  await page.goto(url);
  await page.waitForSelector("main[data-shown]");
}

function backup(name, serial, n, more = {}) {
  const folder = path.join(scratch, "drop", name, "STICK");
  fs.mkdirSync(folder, {recursive: true});
  const all = {...files(serial, n), ...more};
  for (const [file, text] of Object.entries(all)) fs.writeFileSync(path.join(folder, file), text);
  return {folder, files: all};
}

// axe over the page as it is now, and its width.
async function isAccessible(page, where) {
  const ran = await page.evaluate(fs.readFileSync(require.resolve("axe-core"), "utf8") + "; axe.run(document, {preload: false})");
  assert.deepEqual(ran.violations.filter((v) => ["serious", "critical"].includes(v.impact)).map((v) => v.id + ": " + v.nodes.map((n) => n.target.join(" ")).slice(0, 3).join("; ")), [], where);
  const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  assert.ok(over <= 0, where + " is " + over + " px too wide");
}

const sizes = {desk: {viewport: {width: 1440, height: 900}}, phone: {viewport: {width: 390, height: 844}, hasTouch: true, isMobile: true, colorScheme: "dark"}};
for (const [round, [size, look]] of Object.entries(sizes).entries()) {
  test("a day at the counter, " + size, {timeout: 120000}, async () => {
    const url = await counter("mill");
    const browser = await open(look);
    const {page} = browser;
    const count = json("history", "mill").backups.length;
    try {
      await enter(page, url);
      assert.ok(!page.url().includes("key"), "the key is out of the address");
      assert.deepEqual((await browser.context.cookies()).map((c) => [c.httpOnly, c.sameSite]), [[true, "Strict"]]);
      await page.getByRole("link", {name: "Take a backup in"}).click();
      await page.waitForSelector("main[data-shown='#/intake']");
      await isAccessible(page, "intake");

      // An offset that lost its sign is said before anything is stored.
      const dropped = backup(size, "4711", 21 + round, {"ZEROS.4711": "G10 L2 P1 X14.251 Y-3.5\nG10 L2 P2 X-2. Y-5.\n"});
      await page.getByLabel("Choose a folder").setInputFiles(dropped.folder);
      await page.getByRole("heading", {name: "Look at these before you cut"}).waitFor();
      const verdict = await page.locator("main").innerText();
      assert.match(verdict, /G54\/X.*-14\.251.*14\.251/);
      assert.match(verdict, /What changed/);
      await isAccessible(page, "verdict");
      assert.equal(json("history", "mill").backups.length, count, "nothing is stored by looking");
      await page.getByLabel("Who took the backup").fill("Ana");
      await page.getByLabel("Why, in one line").fill("before the service " + evil);
      const accept = page.getByLabel(/^Accept it as it is/);
      if (await accept.count() > 0) await accept.check();
      await page.getByRole("button", {name: "Take it in"}).click();
      await page.getByRole("heading", {name: "Taken in"}).waitFor();
      const stored = json("history", "mill").backups.find((b) => b.by === "Ana" && b.number === count + 1);
      assert.equal(stored.source, "folder STICK");
      assert.ok(stored.note.startsWith("before the service <img src=x onerror=alert(1)>"), stored.note);

      // Marked and withdrawn on its own page, which is read again.
      await page.evaluate((number) => { location.hash = "#/backup/" + number; }, stored.number);
      await page.waitForSelector("main[data-shown='#/backup/" + stored.number + "']");
      await page.getByText("Mark, withdraw or correct this backup").click();
      await isAccessible(page, "backup");
      const form = (title) => page.locator("form.act", {has: page.getByRole("heading", {name: title})});
      await form("Mark it").getByLabel("Name", {exact: true}).fill("after service " + size);
      await form("Mark it").getByRole("button", {name: "Mark it"}).click();
      await form("Mark it").getByText("is marked 'after service " + size + "'").waitFor();
      await form(/^Withdraw it/).getByLabel("Why").fill("a trial run");
      await page.keyboard.press("Enter");
      await form(/^Withdraw it/).getByText("is withdrawn: a trial run").waitFor();
      const now = json("history", "mill").backups.find((b) => b.number === stored.number);
      assert.deepEqual([now.marks, now.withdrawn.why], [["after service " + size], "a trial run"]);

      // The restore set, byte for byte.
      await page.evaluate(() => { location.hash = "#/restore"; });
      await page.waitForSelector("main[data-shown='#/restore']");
      await page.getByLabel("Or another").fill("known good");
      await page.getByRole("button", {name: "See what it will do"}).click();
      await page.getByText("Make the first move in air, one axis at a time, with a hand on the emergency stop.").first().waitFor();
      await isAccessible(page, "restore");
      await page.getByLabel("I have read the cautions").check();
      const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", {name: "Make the files"}).click()]);
      const zip = path.join(scratch, size + ".zip");
      await download.saveAs(zip);
      const out = path.join(scratch, "out-" + size);
      execFileSync("unzip", ["-q", zip, "-d", out]);
      const wanted = path.join(scratch, "wanted-" + size);
      execFileSync(process.env.KEEPWAY, ["restore", "mill", "--at", "known good", "--to", wanted], {env});
      assert.deepEqual(fs.readdirSync(out).sort(), fs.readdirSync(wanted).sort());
      assert.ok(fs.readdirSync(out).length >= 4);
      for (const file of fs.readdirSync(out)) assert.ok(fs.readFileSync(path.join(out, file)).equals(fs.readFileSync(path.join(wanted, file))), file);
      assert.deepEqual(browser.complaints, []);
    } finally {
      await browser.close();
    }
  });
}

test("files that are dropped, one that is refused, and left", async () => {
  const browser = await open();
  const {page} = browser;
  try {
    await enter(page, await counter());
    await page.getByRole("link", {name: "hostile"}).click();
    await page.waitForSelector("main[data-shown='#/glance']");
    await page.evaluate(() => { location.hash = "#/intake"; });
    await page.waitForSelector("main[data-shown='#/intake']");
    const count = json("history", "hostile").backups.length;
    await page.evaluate((name) => {
      const transfer = new DataTransfer();
      transfer.items.add(new File(["nothing that a machine wrote " + name], "<img src=x onerror=alert(1)>", {lastModified: 1770000000000}));
      document.querySelector(".drop").dispatchEvent(new DragEvent("drop", {dataTransfer: transfer, bubbles: true, cancelable: true}));
    }, evil);
    await page.getByRole("heading", {name: "What it is worth"}).waitFor();
    assert.match(await page.locator(".found").innerText(), /refused/);
    await page.getByRole("button", {name: "Take it in"}).click();
    await page.getByText("this backup is refused, and nothing was stored").waitFor();
    await page.getByRole("button", {name: "Leave it"}).click();
    await page.getByText("Left. Nothing was stored.").waitFor();
    assert.equal(json("history", "hostile").backups.length, count);
    assert.equal(await page.locator("main img").count(), 0);
    assert.deepEqual(browser.complaints, []);
  } finally {
    await browser.close();
  }
});

test("battery, reasons, and the commands for what is left", async () => {
  const browser = await open();
  const {page} = browser;
  try {
    const url = await counter("mill");
    await enter(page, url);
    await page.getByRole("link", {name: "Care"}).click();
    await page.waitForSelector("main[data-shown='#/care']");
    await isAccessible(page, "care");
    await page.getByLabel("On", {exact: true}).fill("2026-03-01");
    await page.getByRole("button", {name: "Write it down"}).click();
    await page.getByText(/changed 2026-03-01/).first().waitFor();
    assert.match(fs.readFileSync(path.join(env.KEEPWAY_SHOP, "mill", "machine.toml"), "utf8"), /changed = 2026-03-01\nevery_months = 13/);
    const nowhere = path.join(scratch, "nowhere");
    fs.mkdirSync(nowhere);
    const commands = await page.locator("dl.terminal code").allInnerTexts();
    assert.ok(commands.length >= 8);
    for (const command of commands) {
      const words = command.match(/'[^']*'|"[^"]*"|\S+/g).map((word) => word.replace(/^['"]|['"]$/g, "")).slice(1);
      try {
        execFileSync(process.env.KEEPWAY, words, {cwd: nowhere, env: {...env, KEEPWAY_SHOP: path.join(nowhere, "none")}, stdio: "pipe"});
      } catch (error) {
        assert.ok(!String(error.stderr).includes("--help'"), command + ": " + error.stderr);
      }
    }
    // A second browser has no key; the first one's address is spent.
    const other = await open();
    await other.page.goto(url);
    await other.page.getByText("this address was opened before").waitFor();
    await other.close();
    assert.deepEqual(browser.complaints, []);
  } finally {
    await browser.close();
  }
});
