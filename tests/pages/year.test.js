// A year of a machine at the counter, without a terminal: enrolled from its first backup, backed up, doubted, tried,
// put back, confirmed, shared and audited. On a desk and on a phone.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const {execFileSync} = require("node:child_process");
const fs = require("node:fs");
const path = require("node:path");
const {scratch, env, keepway, json, open} = require("./support");
const {counter, endAll, enter, stickImage, goTo, isAccessible, isFlawless, sizes} = require("./at_counter");
const {files, evil} = require("./shop");

before(() => keepway("init", env.KEEPWAY_SHOP, "--title", "Invented shop"));
after(endAll);

// The day of the month's first week, in the year that has just passed.
const day = (month) => new Date(Date.now() - (13 - month) * 28 * 86400000).toISOString().slice(0, 10);

// A backup as it lies on a stick, written in that month; with none, now.
function stick(name, month, n, more = {}) {
  const folder = path.join(scratch, "sticks", name);
  fs.mkdirSync(folder, {recursive: true});
  for (const [file, text] of Object.entries({...files("4711", n), ...more})) {
    fs.writeFileSync(path.join(folder, file), text);
    const time = new Date(day(month) + "T06:30:00Z");
    if (month) fs.utimesSync(path.join(folder, file), time, time);
  }
  return folder;
}
const zeros = (x, y) => ({"ZEROS.4711": "G10 L2 P1 X" + x + " Y" + y + "\nG10 L2 P2 X-2. Y-5.\n"});
const byTitle = (page, title) => page.locator("form.act", {has: page.getByRole("heading", {name: title})});

// Dropped, looked at, and taken in; gives what the page said of it.
async function takeIn(page, folder, {by = "Ana", note = "", doubt = null} = {}) {
  if (folder) {
    await goTo(page, "#/intake");
    await page.getByLabel("Choose a folder").setInputFiles(folder);
  }
  await page.getByRole("heading", {name: "Take it in?"}).waitFor();
  const said = await page.locator(".found").innerText();
  await page.getByLabel("Who took the backup").fill(by);
  await page.getByLabel("Why, in one line").fill(note);
  const accept = page.getByLabel(/^Accept it as it is/);
  assert.equal(await accept.count(), doubt ? 1 : 0, said);
  if (doubt) {
    assert.match(said, doubt);
    await accept.check();
  }
  await page.getByRole("button", {name: "Take it in"}).click();
  await page.getByRole("heading", {name: "Taken in"}).waitFor();
  return said;
}
const newest = (machine) => json("history", machine).backups[0];

for (const [size, look] of Object.entries(sizes)) {
  test("a year, " + size, {timeout: 400000}, async () => {
    const mill = "mill-" + size;
    const plugged = path.join(scratch, "plugged-" + size + ".img");
    const {url} = await counter("--stick", plugged);
    const browser = await open(look);
    const {page} = browser;
    try {
      // Enrolled from its first backup.
      await enter(page, url);
      if (size === "desk") await isFlawless(page, "machines");
      await page.getByRole("link", {name: "Enroll a machine"}).click();
      await page.waitForSelector("main[data-shown='enroll']");
      if (size === "desk") await isFlawless(page, "enroll");
      await page.getByLabel("Choose a folder").setInputFiles(stick(size + "/2019-05-06", 1, 0));
      await page.getByRole("heading", {name: "What is read of it"}).waitFor();
      const read = await page.locator(".found").innerText();
      assert.match(read, /offsets\/work\/G54\/X\s+-14\.251/);
      assert.match(read, /12 values/);
      assert.match(read, /the serial, 4711: from the names of the files/);
      if (size === "desk") await isFlawless(page, "proposed");
      await page.getByLabel("Short name").fill("../" + mill);
      await page.getByRole("button", {name: "Enroll the machine"}).click();
      await page.locator(".answer.failed", {hasText: "What to do:"}).waitFor();
      // Other units are looked at before they are enrolled with.
      await page.getByLabel("Short name").fill(mill);
      await page.getByLabel("What people call it").fill("Knee mill " + evil);
      await page.getByLabel("Units of its lengths").selectOption("mm");
      // So is what was guessed: another group, and a name in front.
      await page.getByLabel("Group of CELLS.4711").selectOption("settings");
      await page.getByLabel("Name in front of the items of CELLS.4711").fill("{none}");
      await page.locator(".source", {hasText: "CELLS.4711"}).getByRole("button", {name: "Read it again with these"}).click();
      await page.locator(".answer.failed", {hasText: "What to do:"}).waitFor();
      if (size === "desk") await isFlawless(page, "corrected-wrongly");
      // What was read before is shown again, with what was entered.
      await page.getByText("variables/300").first().waitFor();
      assert.equal(await page.getByLabel("Group of CELLS.4711").inputValue(), "settings");
      assert.equal(await page.getByLabel("Units of its lengths").inputValue(), "mm");
      await page.getByLabel("Name in front of the items of CELLS.4711").fill("cell");
      await page.keyboard.press("Enter");
      await page.getByText("settings/cell/300").first().waitFor();
      if (size === "desk") await isFlawless(page, "corrected");
      // What is no data is left out, and comes back.
      const cells = page.locator(".source", {hasText: "CELLS.4711"});
      const out = page.getByLabel("Leave out CELLS.4711: no line of it is data");
      await out.check();
      await cells.getByRole("button", {name: "Read it again with these"}).click();
      await page.getByText("Left out: kept as it comes, and no item is made of it.").waitFor();
      assert.equal(await page.getByText("settings/cell/300").count(), 0);
      if (size === "desk") await isFlawless(page, "left-out");
      else await isAccessible(page, "left-out");
      await out.uncheck();
      await cells.getByRole("button", {name: "Read it again with these"}).click();
      await page.getByText("settings/cell/300").first().waitFor();
      const enroll = page.getByRole("button", {name: "Enroll the machine"});
      await enroll.waitFor();
      assert.equal(await page.getByLabel("Units of its lengths").inputValue(), "mm");
      assert.equal(await page.getByLabel("Short name").inputValue(), mill);
      await page.getByLabel("Units of its lengths").selectOption("inch");
      await page.getByRole("button", {name: "Read it again with these"}).click();
      await enroll.waitFor();
      await page.getByLabel("A backup is due after this many days").fill("35");
      // Its folder has a name that is wrong; the date that is given is the one that it is taken in with.
      await page.getByText("The name says 2019-05-06, and the newest file is of " + day(1)).waitFor();
      await page.getByLabel("The true date, for when it is taken in").fill(day(1));
      await enroll.click();
      await page.getByRole("heading", {name: "Enrolled"}).waitFor();
      assert.match(await page.locator(".found").innerText(), new RegExp("Enrolled " + mill + ", serial 4711, units inch"));
      assert.equal(await page.getByLabel(/^(Group|Name in front) of/).count(), 0, "what is enrolled is not corrected here");
      if (size === "desk") await isFlawless(page, "enrolled");
      assert.ok(json("status").machines.some((m) => m.machine === mill));
      assert.match(fs.readFileSync(path.join(env.KEEPWAY_SHOP, mill, "layout.toml"), "utf8"), /group += "settings"\nfiles += \["CELLS\.\{serial\}"\]\n[^[]*address += "cell\/\{key\}"/);

      // The very drop is taken in, and those of the months that follow.
      await page.getByRole("link", {name: "Go on: take this backup in"}).click();
      await page.waitForSelector("main[data-shown^='#/intake/']");
      assert.ok(page.url().endsWith("/" + day(1)));
      await takeIn(page, "", {note: "the first one"});
      assert.deepEqual([newest(mill).number, newest(mill).verdict, newest(mill).at.slice(0, 10)], [1, "good", day(1)]);
      assert.notEqual(newest(mill).at, day(1) + "T06:30:00Z", "a day is its noon, and not the time of a file");
      // Copied today, so that only the folder's name has the day.
      await goTo(page, "#/intake");
      await page.getByLabel("Choose a folder").setInputFiles(stick(size + "/" + day(2), 0, 2));
      await page.getByText("The name says " + day(2) + ", and the newest file is of").waitFor();
      if (size === "desk") await isFlawless(page, "other-date");
      else await isAccessible(page, "other-date");
      await page.getByLabel("The true date").fill(day(2));
      await page.getByRole("button", {name: "Look at it again with this date"}).click();
      await page.getByLabel("The true date").waitFor({state: "detached"});
      await takeIn(page, "");
      assert.deepEqual([newest(mill).number, newest(mill).at.slice(0, 10)], [2, day(2)]);
      // From the one slot with a volume of a stick that is plugged in.
      stickImage(plugged, [null, stick("MAR-" + size, 3, 3)]);
      await goTo(page, "#/intake");
      await page.getByRole("button", {name: "Choose a stick that is plugged in"}).click();
      await page.getByRole("button", {name: "Look at " + plugged}).click();
      await takeIn(page, "", {by: "Tom", note: "before the service"});
      assert.deepEqual([newest(mill).at.slice(0, 10), newest(mill).source], [day(3), "floppy image " + plugged]);
      const year = path.join(scratch, "year-" + size + ".tar.gz");  // one came packed
      execFileSync("tar", ["czf", year, "-C", stick("APR-" + size, 4, 4), "."]);
      await goTo(page, "#/intake");
      await page.getByLabel("Choose files, an image or an archive").setInputFiles(year);
      await takeIn(page, "");

      // One that was cut off: its reason is read and accepted, and is no reason the next time.
      const cut = {"TOOLS.4711": files("4711", 5)["TOOLS.4711"].split("\n").slice(0, 4).join("\n") + "\n"};
      await takeIn(page, stick("MAY-" + size, 5, 4, cut), {note: "tool 4 is scrap", doubt: /offsets\/tool fell from 12 to 9/});
      assert.deepEqual([newest(mill).verdict, newest(mill).accepted], ["doubtful", true]);
      await takeIn(page, stick("JUN-" + size, 6, 4, {...cut, ...zeros("-14.251", "-3.55")}));
      assert.equal(newest(mill).verdict, "good");

      // Marked, and its note corrected.
      await goTo(page, "#/backup/6");
      await page.getByText("Mark, withdraw or correct this backup").click();
      await byTitle(page, "Mark it").getByLabel("Name", {exact: true}).fill("known good " + size);
      await byTitle(page, "Mark it").getByRole("button", {name: "Mark it"}).click();
      await page.locator(".outcome").getByText("is marked 'known good " + size + "'").waitFor();
      await page.getByText("Mark, withdraw or correct this backup").click();
      await byTitle(page, "Correct it").getByLabel("Note").fill("after the service");
      await byTitle(page, "Correct it").getByRole("button", {name: "Correct it"}).click();
      await page.locator(".outcome").getByText("is corrected").waitFor();
      assert.deepEqual([newest(mill).note, newest(mill).marks], ["after the service", ["known good " + size]]);

      // The battery.
      await goTo(page, "#/care");
      await page.getByLabel("On", {exact: true}).fill(day(6));
      await page.getByLabel("It lasts, in months").fill("24");
      await page.getByRole("button", {name: "Write it down"}).click();
      await page.getByText("changed " + day(6)).first().waitFor();

      // A trial of two values, of which one is kept.
      await goTo(page, "#/trial");
      await page.getByLabel("Its name").fill("deeper");
      await page.getByRole("button", {name: "Begin it"}).click();
      await page.getByRole("heading", {name: "Trial deeper"}).waitFor();
      await takeIn(page, stick("JUL-" + size, 7, 4, {...cut, ...zeros("-14.25", "-3.6")}));
      await goTo(page, "#/trial");
      await page.getByLabel("Keep offsets/work/G54/X").uncheck();
      await page.getByRole("button", {name: "Keep what is ticked"}).click();
      await page.getByText("Trial deeper is kept").first().waitFor();
      assert.deepEqual(["X", "Y"].map((axis) => json("show", mill, "offsets/work/G54/" + axis, "--at", "main").items[0].value), ["-14.251", "-3.6"]);
      await page.getByText("Drop it", {exact: true}).first().click();
      await page.getByLabel(/^The machine holds the trial/).check();
      await page.getByRole("button", {name: "Drop it"}).click();
      await page.getByText("No trials.").waitFor();
      // The merge is of today, and so is what comes after it.
      await takeIn(page, stick("AFTER-" + size, 0, 4, {...cut, ...zeros("-14.251", "-3.6")}));

      // A value of January is put back, step by step, and the machine proves it.
      await goTo(page, "#/restore/offsets/tool/2/length");
      await page.getByLabel("Or another").fill("#1");
      await page.getByRole("button", {name: "See what it will do"}).click();
      await page.getByRole("heading", {name: "5. At the machine"}).waitFor();
      assert.match(await page.locator(".plan").innerText(), /with a hand on the emergency stop/);
      await page.getByLabel("I have read the cautions").check();
      const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", {name: "Make the files"}).click()]);
      await page.getByText(/^Saved as/).waitFor();
      const zip = path.join(scratch, "back-" + size + ".zip");
      await download.saveAs(zip);
      const back = path.join(scratch, "back-" + size);
      execFileSync("unzip", ["-q", zip, "-d", back]);
      const steps = page.locator("ol.steps input");
      for (let i = 0; i < await steps.count(); ++i) await steps.nth(i).check();
      await page.getByText("All steps are done.").waitFor();
      const machine = Object.fromEntries(fs.readdirSync(back).map((file) => [file, fs.readFileSync(path.join(back, file))]));
      assert.match(String(machine["TOOLS.4711"]), /^2,6\.0000,/m);
      await page.getByLabel("Choose a folder").setInputFiles(stick("PROOF-" + size, 0, 4, machine));
      await page.getByRole("heading", {name: "The machine holds what was meant"}).waitFor();
      await isAccessible(page, "confirmed");
      await page.getByLabel("Who took the backup").fill("Ana");
      const accept = page.getByLabel(/^Accept it as it is/);
      if (await accept.count() > 0) await accept.check();
      await page.getByRole("button", {name: "Take it in as the proof"}).click();
      await page.getByRole("heading", {name: "Taken in"}).waitFor();
      assert.equal(json("status").machines.find((m) => m.machine === mill).confirmed_restores.count, 1);

      // One that is not to be used any more.
      await goTo(page, "#/backup/2");
      await page.getByText("Mark, withdraw or correct this backup").click();
      await byTitle(page, /^Withdraw it/).getByLabel("Why").fill("of another machine");
      await byTitle(page, /^Withdraw it/).getByRole("button", {name: "Withdraw it"}).click();
      await page.locator(".outcome").getByText("is withdrawn: of another machine").waitFor();

      // Shared with the office's copy, and audited.
      const remote = path.join(scratch, mill + ".git");
      execFileSync("git", ["init", "-q", "--bare", remote], {env});
      await goTo(page, "#/care");
      await page.getByLabel("Address of the other copy").fill(remote);
      await page.getByRole("button", {name: "Share with the other copy"}).click();
      await page.locator(".answer pre", {hasText: /sent/}).waitFor();
      assert.equal(execFileSync("git", ["-C", remote, "rev-parse", "main"], {env, encoding: "utf8"}), execFileSync("git", ["-C", path.join(env.KEEPWAY_SHOP, mill), "rev-parse", "main"], {env, encoding: "utf8"}));
      await page.getByRole("button", {name: "Check everything"}).click();
      await page.locator(".answer pre", {hasText: "compared with their digests"}).waitFor();

      await page.getByRole("link", {name: "All machines"}).click();
      await page.waitForSelector("main[data-shown='shop']");
      if (size === "desk") await isFlawless(page, "one-machine");
      await page.getByRole("link", {name: mill, exact: true}).click();
      await page.waitForSelector("main[data-shown='#/glance']");

      // What the year left: on the first page, and as commands see it.
      await goTo(page, "#/glance");
      await isAccessible(page, "glance");
      const history = json("history", mill).backups;
      assert.deepEqual(history.filter((b) => b.withdrawn).map((b) => b.number), [2]);
      assert.equal(await page.locator("main img").count(), 0);
      assert.deepEqual(browser.complaints, []);
    } finally {
      await browser.close();
    }
  });
}

test("a backup that means harm is text on the page it is enrolled from", {timeout: 200000}, async () => {
  const {url} = await counter();
  const browser = await open();
  const {page} = browser;
  try {
    const folder = stick("HARM", 1, 0, {
      "CELLS.4711": Array.from({length: 20}, (_, i) => "#" + (300 + i) + "=" + i + " (" + evil + ")").join("\n") + "\n<img src=x>" + "x".repeat(3000) + "\n",
      "<img src=x onerror=alert(1)>.TXT": evil + "\n" + evil + "\n",
    });
    await enter(page, url);
    await page.getByRole("link", {name: "Enroll a machine"}).click();
    await page.getByLabel("Choose a folder").setInputFiles(folder);
    await page.getByRole("heading", {name: "What is read of it"}).waitFor();
    await page.getByText("The layout that is proposed").click();
    assert.match(await page.locator(".found").innerText(), /<img src=x/);
    assert.equal(await page.locator("main img").count(), 0);
    await isFlawless(page, "harm");
    await page.getByRole("button", {name: "Leave it"}).click();
    await page.getByText("Left. Nothing was stored.").waitFor();
    assert.deepEqual(browser.complaints, []);
  } finally {
    await browser.close();
  }
});

// A work of the counter, which is then frozen: it goes on for as long as the test wants.
async function frozen(pid) {
  const children = () => fs.readFileSync("/proc/" + pid + "/task/" + pid + "/children", "utf8").split(" ").filter(Boolean).map(Number);
  for (;;) {
    const [child] = children();
    if (child) {
      process.kill(child, "SIGSTOP");
      return child;
    }
    await new Promise((done) => setImmediate(done));
  }
}
const isThere = (pid) => fs.existsSync("/proc/" + pid + "/exe");

test("what takes long says how far it is, and is stopped", {timeout: 200000}, async () => {
  const {url, pid} = await counter();
  const browser = await open();
  const {page} = browser;
  try {
    const many = stick("LARGE", 1, 0);
    fs.appendFileSync(path.join(many, "CELLS.4711"), ("(" + "-".repeat(97) + ")\n").repeat(1000000));
    const packed = path.join(scratch, "large.tar.gz");
    execFileSync("tar", ["czf", packed, "-C", many, "."]);
    await enter(page, url);
    await page.getByRole("link", {name: "Enroll a machine"}).click();
    await page.getByLabel("Choose files, an image or an archive").setInputFiles(packed);
    const looking = await frozen(pid);
    // At whatever stage it was frozen.
    await page.locator("p:has(+ progress)").filter({hasText: /^[A-Z][A-Za-z ]+(\.|: [0-9,]+( of [0-9,]+)?)$/}).waitFor();
    await isFlawless(page, "looking");
    const other = await browser.context.newPage();
    await other.goto(page.url().split("#")[0]);
    await other.getByRole("heading", {name: "Machines"}).waitFor();
    await other.close();
    await page.getByRole("button", {name: "Stop"}).click();
    await page.locator(".answer.failed", {hasText: "Stopped: nothing was stored"}).waitFor();
    await page.getByRole("button", {name: "Look at it again"}).waitFor();
    assert.ok(!isThere(looking));
    await isFlawless(page, "stopped");
    assert.deepEqual(browser.complaints, []);
  } finally {
    await browser.close();
  }
});

test("a large stick says how much of it was looked through, and is let go of", {timeout: 200000}, async () => {
  const large = path.join(scratch, "large.img");
  fs.closeSync(fs.openSync(large, "w"));
  fs.truncateSync(large, 2 ** 31);
  const {url, pid} = await counter("--stick", large);
  const browser = await open();
  const {page} = browser;
  try {
    await enter(page, url);
    await page.getByRole("link", {name: "Enroll a machine"}).click();
    await page.getByRole("button", {name: "Choose a stick that is plugged in"}).click();
    await page.getByRole("button", {name: "Look at " + large}).click();
    await page.getByText(/^MiB looked through: [0-9,]+ of 2,048$/).waitFor();
    const looking = await frozen(pid);
    const bar = page.locator("progress");
    assert.equal(await bar.getAttribute("max"), "2048");
    await isFlawless(page, "looking-through");
    await page.getByRole("button", {name: "Stop"}).click();
    await page.locator(".answer.failed", {hasText: "Stopped: nothing was stored"}).waitFor();
    assert.ok(!isThere(looking));
    assert.deepEqual(browser.complaints, []);
  } finally {
    await browser.close();
  }
});
