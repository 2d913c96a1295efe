// What a person does by mistake at the counter, and what is not to be read wrongly then: another choice after the plan,
// the restore's own files as its proof, another machine's stick, the same backup twice, a trial forgotten.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const {execFileSync} = require("node:child_process");
const fs = require("node:fs");
const path = require("node:path");
const {scratch, env, keepway, json, open} = require("./support");
const {counter, endAll, enter, atCounter, backup, goTo, isAccessible, isFlawless, sizes} = require("./at_counter");
const {makeShop, day} = require("./shop");

before(() => makeShop());
after(endAll);

const see = (page) => page.getByRole("button", {name: "See what it will do"}).click();
const isPlanned = (page) => page.getByRole("heading", {name: "3. What it will do"}).waitFor();
const form = (page, title) => page.locator("form.act", {has: page.getByRole("heading", {name: title, exact: true})});
async function made(page) {
  await page.getByLabel("I have read the cautions").check();
  const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", {name: "Make the files"}).click()]);
  await page.getByText(/^Saved as/).waitFor();
  const zip = path.join(scratch, "slip-" + download.suggestedFilename());
  await download.saveAs(zip);
  return {name: download.suggestedFilename(), zip};
}

for (const [size, look] of Object.entries(sizes)) {
  test("a plan goes when something else is chosen, and the files say what they are, " + size, {timeout: 120000}, async () => {
    await atCounter(look, async (page) => {
      await goTo(page, "#/restore");
      const plan = page.locator(".plan > *");
      const list = page.getByLabel("Backup", {exact: true});
      assert.match(await list.innerText(), /#4, .*, good, \u201cknown good\u201d/);
      const choices = [
        () => list.selectOption("#3"),
        () => page.getByLabel("Or another").fill("#1"),
        () => page.getByLabel("some groups").check(),
        () => page.getByLabel("offsets", {exact: true}).check(),
        () => page.getByLabel("offsets", {exact: true}).uncheck(),
        () => page.getByLabel("all of it").check(),
      ];
      for (const choose of choices) {
        if (await page.getByLabel("some groups").isChecked()) await page.getByLabel("programs", {exact: true}).check();
        await see(page);
        await isPlanned(page);
        assert.ok(await plan.count() > 0);
        await choose();
        assert.equal(await plan.count(), 0, String(choose));
      }
      // What was typed counts no more once another is chosen from the list.
      await page.getByLabel("Or another").fill("#1");
      await list.selectOption("#7");
      assert.equal(await page.getByLabel("Or another").inputValue(), "");
      await see(page);
      await isPlanned(page);
      await isAccessible(page, "plan");
      const {name, zip} = await made(page);
      const {at} = json("history", "mill").backups.find((b) => b.number === 7);
      assert.equal(name, "mill-7-" + at.slice(0, 10) + ".zip");
      const wanted = path.join(scratch, "seven-" + size);
      keepway("restore", "mill", "--at", "#7", "--to", wanted);
      for (const file of fs.readdirSync(wanted)) assert.ok(execFileSync("unzip", ["-p", zip, file]).equals(fs.readFileSync(path.join(wanted, file))), file);
      // A mark as it is read, not as it is spelled.
      await page.getByLabel("Or another").fill("Known  GOOD");
      await see(page);
      await isPlanned(page);
      assert.match(await page.locator(".plan").innerText(), /as in backup #4/);
    });
  });

  test("what restore wrote proves nothing, nor does another machine's stick, " + size, {timeout: 120000}, async () => {
    await atCounter(look, async (page) => {
      const count = json("history", "mill").backups.length;
      await goTo(page, "#/restore");
      await page.getByLabel("Or another").fill("#4");
      await see(page);
      await isPlanned(page);
      const {zip} = await made(page);
      const own = path.join(scratch, "own-" + size);
      execFileSync("unzip", ["-q", zip, "-d", own]);
      await page.getByLabel("Choose files, an image or an archive").setInputFiles(zip);
      const title = page.locator(".found h2").first();
      await title.waitFor();
      assert.match(await title.innerText(), /^Each file is as 'restore' wrote it, .*not what the machine holds/);
      assert.equal(await page.locator(".found").getByText("CONFIRMED").isVisible(), false, "it is folded away");
      assert.match(await page.locator(".found").innerText(), /back the machine up again onto an empty medium/);
      await isAccessible(page, "own files");
      assert.equal(await page.getByRole("button", {name: "Take it in as the proof"}).count(), 0);
      await page.getByRole("button", {name: "Take it in all the same"}).click();
      assert.equal(json("history", "mill").backups.length, count);
      await page.getByLabel("Choose a folder").setInputFiles(backup("other-" + size, "999", 3).folder);
      await page.getByRole("heading", {name: "This backup is refused, and proves nothing"}).waitFor();
      const said = await page.locator(".found").innerText();
      assert.match(said, /999/);
      assert.ok(!/\bmeant\b.*\bfound\b/.test(said), "the values are folded away");
      await isAccessible(page, "another machine's");
      assert.equal(json("history", "mill").backups.length, count);
    });
  });

  test("a backup that is stored, said first, and who took it, " + size, {timeout: 120000}, async () => {
    await atCounter(look, async (page) => {
      await goTo(page, "#/intake");
      await page.getByLabel("Choose a folder").setInputFiles(backup("twice-" + size, "4711", 60 + size.length).folder);
      await page.getByRole("heading", {name: "Take it in?"}).waitFor();
      const who = page.getByLabel("Who took the backup");
      const usual = await who.inputValue();
      await who.fill("J\u00fcrgen");
      const accept = page.getByLabel(/^Accept it as it is/);
      if (await accept.count() > 0) await accept.check();
      await page.getByRole("button", {name: "Take it in"}).click();
      await page.getByRole("heading", {name: "Taken in"}).waitFor();
      const {number, at} = json("history", "mill").backups[0];
      // The very files, and a newer one besides: they would be an older backup now.
      const again = path.join(scratch, "twice-" + size + ".zip");
      const folder = path.join(scratch, "drop", "twice-" + size, "STICK");
      execFileSync("zip", ["-q", "-r", again, "."], {cwd: folder});
      await goTo(page, "#/intake");
      await page.getByLabel("Choose a folder").setInputFiles(folder);
      const title = page.locator(".found h2").first();
      await title.waitFor();
      assert.equal(await title.innerText(), "It is stored already");
      assert.match(await page.locator(".found").innerText(), new RegExp("#" + number + ", [^]*(good|accepted)"));
      assert.ok(!(await page.locator(".found").innerText()).includes("--"), "no options");
      assert.match(await page.locator(".found").innerText(), /To judge it again and store it once more: \u201cStore it once more\u201d/);
      assert.equal(await page.getByRole("heading", {name: "What it is worth"}).isVisible(), false);
      // The next backup is not his, unless he is chosen.
      assert.equal(await who.inputValue(), usual);
      assert.deepEqual(await page.locator("#typed-names option").evaluateAll((all) => all.map((o) => o.value)), ["J\u00fcrgen"]);
      await isAccessible(page, "already");

      // What is said of it is seen at once.
      await goTo(page, "#/backup/" + number);
      const open = () => page.getByText("Mark, withdraw or correct this backup").click();
      await open();
      await form(page, "Correct it").getByLabel("When it was taken").fill("2026-11-02");
      await form(page, "Correct it").getByRole("button").click();
      await page.locator(".outcome").getByText("is corrected").waitFor();
      assert.match(await page.locator("dl.facts").innerText(), /taken\s+2026-11-02/);
      await isAccessible(page, "corrected");
      await open();
      await form(page, "Read it as it was stored").getByRole("button").click();
      await form(page, "Read it as it was stored").waitFor({state: "detached"});
      assert.equal(json("history", "mill").backups.find((b) => b.number === number).at, at);
      await open();
      await form(page, "Mark it").getByLabel("Name", {exact: true}).fill("known good");
      await form(page, "Mark it").getByRole("button").click();
      await page.locator(".answer.failed", {hasText: "rename the old mark on the page of its backup"}).waitFor();
      await form(page, "Mark it").getByLabel("Name", {exact: true}).fill("first " + size);
      await form(page, "Mark it").getByRole("button").click();
      await page.locator(".outcome").getByText("is marked").waitFor();
      await open();
      await form(page, "Mark \u201cfirst " + size + "\u201d").getByLabel("Its new name").fill("second " + size);
      await form(page, "Mark \u201cfirst " + size + "\u201d").getByRole("button").click();
      await page.locator(".outcome").getByText("is 'second " + size + "' now").waitFor();
      await open();
      if (size === "desk") await isFlawless(page, "marked");
      await form(page, "Take mark \u201csecond " + size + "\u201d away").getByRole("button").click();
      await page.locator(".outcome").getByText("is removed").waitFor();
      assert.deepEqual(json("history", "mill").backups.find((b) => b.number === number).marks, []);
    });
  });
}

test("a trial is said where it takes backups, and ends with a way back to the machine", {timeout: 120000}, async () => {
  await atCounter({}, async (page) => {
    await goTo(page, "#/trial");
    await page.getByLabel("Its name").fill("faster feed");
    await page.getByRole("button", {name: "Begin it"}).click();
    await page.locator(".answer.failed", {hasText: "\u201cWhat is tried\u201d takes any text"}).waitFor();
    await page.getByLabel("Its name").fill("faster");
    await page.getByRole("button", {name: "Begin it"}).click();
    await page.getByRole("heading", {name: "Trial faster"}).waitFor();
    const zeros = (x, y) => ({"ZEROS.4711": "G10 L2 P1 X" + x + " Y" + y + "\nG10 L2 P2 X-2. Y-5.\n"});
    await goTo(page, "#/intake");
    await page.getByText("Trial faster is in progress: what is taken in goes to it, not to main.").waitFor();
    await page.getByLabel("Choose a folder").setInputFiles(backup("faster", "4711", 90, zeros("-14.3", "-3.6")).folder);
    await page.getByText("It goes to trial faster, not to main.").waitFor();
    await isAccessible(page, "on a trial");
    const accept = page.getByLabel(/^Accept it as it is/);
    if (await accept.count() > 0) await accept.check();
    // Paused by another hand meanwhile: it would go elsewhere than was said.
    keepway("trial", "mill", "pause", "faster");
    await page.getByRole("button", {name: "Take it in"}).click();
    await page.getByText("this is no longer what was looked at").waitFor();
    keepway("trial", "mill", "resume", "faster");
    const outdated = await page.getByRole("button", {name: "Take it in"}).elementHandle();
    await page.getByRole("button", {name: "Look at it again"}).click();
    await outdated.waitForElementState("hidden");  // it stays until the new look is there
    await page.getByText("It goes to trial faster, not to main.").waitFor();
    if (await accept.count() > 0) await accept.check();
    await page.getByRole("button", {name: "Take it in"}).click();
    await page.getByRole("heading", {name: "Taken in"}).waitFor();
    await goTo(page, "#/trial");
    await page.getByLabel("Keep offsets/work/G54/X").uncheck();
    await page.getByRole("button", {name: "Keep what is ticked"}).click();
    const merged = await page.getByRole("link", {name: "Put the merged state on the machine"}).getAttribute("href");
    await page.getByText("Drop it", {exact: true}).first().click();
    await page.getByLabel(/^The machine holds the trial/).check();
    await page.getByRole("button", {name: "Drop it"}).click();
    await page.getByRole("link", {name: "Put the machine back to where it began"}).waitFor();
    await isAccessible(page, "dropped");
    await page.getByRole("link", {name: "Put the machine back to where it began"}).click();
    await page.waitForSelector("main[data-shown^='#/restore/at/%2312']");
    assert.equal(await page.getByLabel("Or another").inputValue(), "#12");
    await goTo(page, merged);
    assert.equal(await page.getByLabel("Or another").inputValue(), "kept faster");
    await see(page);
    await isPlanned(page);
  });
});

test("a plan of what was withdrawn says so, and the words of commands are those of the page", {timeout: 120000}, async () => {
  keepway("withdraw", "mill", "2", "--why", "of another machine", "--by", "Ida");
  await atCounter({}, async (page) => {
    await goTo(page, "#/restore");
    await page.getByLabel("Or another").fill("#2");
    await see(page);
    await page.locator(".plan .reason", {hasText: /^Withdrawn by Ida on .*: of another machine\. It is not to be used\.$/}).waitFor();
    await isAccessible(page, "withdrawn");
    await page.getByLabel("I have read the cautions").check();
    await page.getByRole("button", {name: "Make the files"}).click();
    await page.locator(".answer.failed", {hasText: "put this one back anyway with \u201cPut it back all the same\u201d"}).waitFor();
    await goTo(page, "#/item/variables/301");
    await page.getByRole("button", {name: "Edit name, unit and limits of variables/301"}).click();
    await page.getByLabel("lower limit of variables/301").fill("-320,5");
    await page.getByRole("button", {name: "Save"}).click();
    await page.locator(".answer.failed", {hasText: "\u201clower limit\u201d '-320,5' is not a number"}).waitFor();
    await goTo(page, "#/care");
    await page.getByRole("button", {name: "Share with the other copy"}).click();
    await page.locator(".answer.failed", {hasText: "fill in \u201cAddress of the other copy\u201d"}).waitFor();
    // What was searched for is not left in its field on another page.
    await page.getByRole("searchbox", {name: "Search this machine"}).fill("g54 x");
    await page.keyboard.press("Enter");
    await page.waitForSelector("main[data-shown^='#/search']");
    assert.equal(await page.getByRole("searchbox", {name: "Search this machine"}).inputValue(), "g54 x");
    await page.getByRole("link", {name: "Trends"}).click();
    await page.waitForSelector("main[data-shown='#/trends']");
    assert.equal(await page.getByRole("searchbox", {name: "Search this machine"}).inputValue(), "");
  });
});

test("the card is printed from the first page", {timeout: 120000}, async () => {
  const {url} = await counter("mill");
  const browser = await open();
  try {
    await enter(browser.page, url);
    for (const [paper, wide] of [["A4", "A4"], ["Letter", "Letter"]]) {
      await browser.page.getByRole("link", {name: paper, exact: true}).click();
      await browser.page.getByRole("heading", {name: "Take a full backup"}).waitFor();
      assert.match(await browser.page.content(), new RegExp("@page \\{ size: " + wide));
      await browser.page.goBack();
      await browser.page.waitForSelector("main[data-shown]");
    }
    const stranger = await open();
    await stranger.page.goto(new URL("card.html", url).href);
    await stranger.page.getByRole("heading", {name: "The counter"}).waitFor();
    await stranger.close();
    assert.deepEqual(browser.complaints, []);
  } finally {
    await browser.close();
  }
});

test("a machine is called as its folder, whatever it was called elsewhere", {timeout: 120000}, async () => {
  const remote = path.join(scratch, "elsewhere.git");
  execFileSync("git", ["init", "-q", "--bare", remote], {env});
  keepway("sync", "mill", "--to", remote);
  const shop = path.join(scratch, "other-shop");
  keepway("init", shop);
  const other = (...args) => JSON.parse(execFileSync(process.env.KEEPWAY, [...args, "--json"], {env: {...env, KEEPWAY_SHOP: shop}, encoding: "utf8"}));
  other("sync", "mill-b", "--to", remote);
  assert.equal(other("history", "mill-b").machine, "mill-b");
  const {counterIn} = require("./at_counter");
  const {url} = await counterIn(shop);
  const browser = await open();
  const {page} = browser;
  try {
    await enter(page, url);
    await page.getByRole("link", {name: "mill-b", exact: true}).click();
    await page.waitForSelector("main[data-shown='#/glance']");
    assert.match(page.url(), /machines\/mill-b\//);
    assert.match(await page.locator("header").innerText(), /mill-b \u00b7 serial 4711/);
    await goTo(page, "#/intake");
    await page.getByLabel("Choose a folder").setInputFiles(backup("elsewhere", "4711", 12).folder);
    await page.getByRole("heading", {name: "Take it in?"}).waitFor();
    const accept = page.getByLabel(/^Accept it as it is/);
    if (await accept.count() > 0) await accept.check();
    const count = other("history", "mill-b").backups.length;
    await page.getByRole("button", {name: "Take it in"}).click();
    await page.getByRole("heading", {name: "Taken in"}).waitFor();
    assert.equal(other("history", "mill-b").backups.length, count + 1);
    await goTo(page, "#/restore");
    await see(page);
    await isPlanned(page);
    assert.match((await made(page)).name, /^mill-b-\d+-2026-/);
    assert.deepEqual(browser.complaints, []);
  } finally {
    await browser.close();
  }
});

test("search takes addresses and days as the commands do", {timeout: 120000}, async () => {
  await atCounter({}, async (page) => {
    const look = async (text) => {
      await goTo(page, "#/search/" + encodeURIComponent(text));
      return page.locator("main").innerText();
    };
    for (const [text, address] of [["#300", "variables/300"], ["O01000", "programs/O1000"], ["G54X", "offsets/work/G54/X"], ["g54  y", "offsets/work/G54/Y"]]) {
      const said = await look(text);
      assert.ok(said.includes(address), text + ": " + said);
      assert.ok(!/There is no backup|No item and no mark/.test(said), text + ": " + said);
      assert.match(keepway("when", "mill", text), new RegExp(address));
      assert.equal(await page.locator("main tbody tr").first().locator("td").first().innerText(), address);
    }
    assert.match(await look("#301"), /variables\/301/);
    assert.match(await look("#999"), /There is no backup #999/);
    assert.match(await look("#1"), /Backup[^]*#1/);
    // Day first, as everywhere.
    const [y, m, d] = day(2).split("-").map(Number);
    for (const text of [d + "." + m + "." + y, String(d).padStart(2, "0") + "." + String(m).padStart(2, "0") + "." + y, d + "/" + m + "/" + y, y + "." + m + "." + d])
      assert.match(await look(text), /Backups of [^]*#3/, text);
    assert.match(await look("1/3/2026"), /may be 1 Mar 2026 or 3 Jan 2026/);
    assert.match(await look("1.3.26"), /may be 1 Mar 2026 or 26 Mar 2001/);
    assert.match(await look("31.2.2026"), /No item and no mark has that/);
    await goTo(page, "#/backup/5");
    await page.getByLabel("Compare with").fill(d + "." + m + "." + y);
    await page.getByRole("button", {name: "Show"}).click();
    await page.waitForSelector("main[data-shown='#/between/3/5']");
  });
});
