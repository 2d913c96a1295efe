// What goes out of the counter and comes from elsewhere in a real browser: a restore set into a slot of a stick, a
// machine that another computer keeps. On a desk and on a phone.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const {execFileSync} = require("node:child_process");
const fs = require("node:fs");
const path = require("node:path");
const {scratch, env, keepway, open} = require("./support");
const {counterIn, endAll, enter, atCounter, backup, stickImage, goTo, isAccessible, isFlawless, sizes} = require("./at_counter");
const {makeShop} = require("./shop");

before(() => makeShop());
after(endAll);

// What a slot holds, as a control would read it.
function slotFiles(image, place) {
  const spacing = 1572864;
  const one = path.join(scratch, "one-slot.img");
  fs.writeFileSync(one, fs.readFileSync(image).subarray((place - 1) * spacing, (place - 1) * spacing + 1474560));
  const out = fs.mkdtempSync(path.join(scratch, "slot-"));
  execFileSync("mcopy", ["-s", "-n", "-m", "-i", one, "::*", out]);
  return Object.fromEntries(fs.readdirSync(out).sort().map((file) => [file, fs.readFileSync(path.join(out, file), "latin1")]));
}

for (const [round, [size, look]] of Object.entries(sizes).entries()) {
  test("a restore set written into a slot of a stick, " + size, {timeout: 120000}, async () => {
    const image = path.join(scratch, "write-" + size + ".img");
    const other = backup("write-other-" + size, "999", 50);
    stickImage(image, [other.folder, null, backup("write-old-" + size, "4711", 51 + round, {"_B_.TXT": "old"}).folder, other.folder]);
    const before = fs.readFileSync(image);
    await atCounter(look, async (page) => {
      await goTo(page, "#/restore");
      await page.getByLabel("Or another").fill("known good");
      await page.getByRole("button", {name: "See what it will do"}).click();
      await page.getByRole("heading", {name: "5. At the machine"}).waitFor();
      // By the keyboard alone.
      const press = async (name) => {
        await page.getByRole("button", {name, exact: true}).focus();
        await page.keyboard.press("Enter");
      };
      await press("Write to a stick that is plugged in");
      await page.getByRole("heading", {name: "Which stick?"}).waitFor();
      await press("Look at " + image);
      await page.getByRole("heading", {name: "Which slot is written to?"}).waitFor();
      await isAccessible(page, "write-slots");
      assert.equal(await page.getByRole("button", {name: "Choose slot 2"}).count(), 0, "nothing is there to write to");
      await press("Choose slot 3");
      await page.getByRole("heading", {name: "Slot 3 of " + image + " holds now"}).waitFor();
      const shown = await page.locator(".onto-stick").innerText();
      assert.match(shown, /Label PLACE3/);
      for (const file of ["_B_.TXT", "TOOLS.471"]) assert.ok(shown.toUpperCase().includes(file), shown);
      if (size === "desk") await isFlawless(page, "write-confirm");
      else await isAccessible(page, "write-confirm");
      const form = page.locator(".onto-stick").locator("form.act");
      const typed = form.getByLabel("The machine\u2019s name, to confirm it");
      const write = form.getByRole("button", {name: "Write to slot 3"});
      // Nothing is written without the cautions read and the name typed.
      await typed.fill("mill");
      await write.click();
      assert.ok(await form.evaluate((node) => !node.checkValidity()));
      await form.getByLabel("I have read the cautions").check();
      await typed.fill("Mill");
      await write.click();
      await form.getByText("what was typed is not the machine's name, and nothing was written").waitFor();
      assert.ok(fs.readFileSync(image).equals(before));
      await typed.fill("mill");
      // Names that a floppy cannot hold are refused, until they are to be shortened.
      const shorten = form.getByLabel("Shorten the names that a floppy cannot hold");
      assert.ok(!await shorten.isVisible());
      await write.click();
      await shorten.waitFor();
      if (size === "desk") await isFlawless(page, "write-names");
      else await isAccessible(page, "write-names");
      assert.ok(fs.readFileSync(image).equals(before));
      await shorten.check();
      await write.click();
      await form.locator(".answer", {hasText: "What was there before is stored as"}).waitFor();
      if (size === "desk") await isFlawless(page, "written");
      else await isAccessible(page, "written");
      const after = fs.readFileSync(image);
      const [from, to] = [2 * 1572864, 3 * 1572864];
      assert.ok(after.subarray(0, from).equals(before.subarray(0, from)) && after.subarray(to).equals(before.subarray(to)), "the other slots are as they were");
      const wanted = path.join(scratch, "wanted-write-" + size);
      execFileSync(process.env.KEEPWAY, ["restore", "mill", "--at", "known good", "--to", wanted], {env});
      assert.deepEqual(slotFiles(image, 3), Object.fromEntries(fs.readdirSync(wanted).sort().map((file) => [file.slice(0, -1), fs.readFileSync(path.join(wanted, file), "latin1")])));
      const kept = fs.readdirSync(scratch).filter((file) => file.startsWith("write-" + size + ".img.slot-3.before-"));
      assert.equal(kept.length, 1);
      assert.ok(fs.readFileSync(path.join(scratch, kept[0])).equals(before.subarray(from, from + 1474560)));
      // Looked at again, it holds the new files; written once more, after somebody else has changed it, it is refused.
      await form.getByRole("button", {name: "Look at the slot again"}).click();
      await page.getByRole("heading", {name: "Slot 3 of " + image + " holds now"}).waitFor();
      const stick = fs.openSync(image, "r+");
      fs.writeSync(stick, "changed", from + 40000);
      fs.closeSync(stick);
      await form.getByLabel("I have read the cautions").check();
      await typed.fill("mill");
      await write.click();
      await form.getByText("is not as it was shown any more, and nothing was written").waitFor();
      await isAccessible(page, "write-refused");
    }, "--stick", image);
  });

  test("another machine's slot is written over only when that is ticked, " + size, {timeout: 120000}, async () => {
    const image = path.join(scratch, "another-" + size + ".img");
    stickImage(image, [backup("another-" + size, "999", 60).folder]);
    const before = fs.readFileSync(image);
    await atCounter(look, async (page) => {
      await goTo(page, "#/restore");
      await page.getByLabel("Or another").fill("known good");
      await page.getByRole("button", {name: "See what it will do"}).click();
      await page.getByRole("button", {name: "Write to a stick that is plugged in"}).click();
      await page.getByRole("button", {name: "Look at " + image}).click();
      await page.getByRole("button", {name: "Choose slot 1"}).waitFor();
      assert.match(await page.locator(".onto-stick").innerText(), /another machine: [A-Z]+\.999 is named with another serial/i);
      await page.getByRole("button", {name: "Choose slot 1"}).click();
      const form = page.locator(".onto-stick").locator("form.act");
      await page.getByText(/This slot is not of mill: [A-Z]+\.999 is named with another serial\./i).waitFor();
      const typed = form.getByLabel("The machine\u2019s name, to confirm it");
      const over = form.getByLabel("Write over it all the same: another machine\u2019s files are to go");
      await typed.fill("mill");
      await form.getByLabel("I have read the cautions").check();
      await form.getByRole("button", {name: "Write to slot 1"}).click();
      assert.ok(await over.evaluate((node) => !node.checkValidity()));
      assert.ok(fs.readFileSync(image).equals(before));
      if (size === "desk") await isFlawless(page, "write-another");
      else await isAccessible(page, "write-another");
      // A page that asks for no tick is refused all the same.
      await over.evaluate((node) => { node.required = false; });
      await form.getByRole("button", {name: "Write to slot 1"}).click();
      await form.getByText(/the slot is another machine's \([A-Z]+\.999 is named with another serial\), and nothing was written/i).waitFor();
      assert.ok(fs.readFileSync(image).equals(before));
    }, "--stick", image);
  });

  test("a machine copied from where it is shared, " + size, {timeout: 120000}, async () => {
    const shop = path.join(scratch, "second-" + size);
    const remote = path.join(scratch, "copied-" + size + ".git");
    execFileSync(process.env.KEEPWAY, ["init", shop], {env});
    execFileSync("git", ["init", "-q", "--bare", remote], {env});
    keepway("sync", "mill", "--to", remote);
    const {url} = await counterIn(shop);
    const browser = await open(look);
    const {page} = browser;
    try {
      await enter(page, url);
      await page.getByRole("link", {name: "Copy one that is kept elsewhere"}).click();
      await page.waitForSelector("main[data-shown='copy']");
      if (size === "desk") await isFlawless(page, "copy");
      else await isAccessible(page, "copy");
      const name = page.getByLabel("Short name here");
      const to = page.getByLabel("Address of the other copy");
      const failedWith = async (text) => page.locator(".answer.failed", {hasText: text}).waitFor();
      await name.fill("../evil");
      await to.fill(remote);
      await page.keyboard.press("Enter");
      await failedWith("What to do:");
      await name.fill("mill");
      await to.fill(path.join(scratch, "none.git"));
      await page.keyboard.press("Enter");
      await page.waitForFunction(() => document.querySelector(".answer.failed") && document.querySelector("button.do").disabled === false);
      await isAccessible(page, "copy-failed");
      assert.deepEqual(fs.readdirSync(shop).filter((file) => file.includes("mill")), [], "what could not be copied leaves nothing");
      await to.fill(remote);
      await page.getByRole("button", {name: "Copy it here"}).click();
      await page.getByRole("heading", {name: "Copied"}).waitFor();
      if (size === "desk") await isFlawless(page, "copied");
      else await isAccessible(page, "copied");
      const tip = (folder) => execFileSync("git", ["-C", folder, "rev-parse", "main"], {env, encoding: "utf8"});
      assert.equal(tip(path.join(shop, "mill")), tip(path.join(env.KEEPWAY_SHOP, "mill")));
      await page.getByRole("link", {name: "Look at mill"}).click();
      await page.waitForSelector("main[data-shown='#/glance']");
      assert.equal(await page.locator("main img").count(), 0);
      assert.deepEqual(browser.complaints, []);
    } finally {
      await browser.close();
    }
  });
}
