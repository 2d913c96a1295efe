// Programs with letters beyond ASCII, in the character set that the layout says. The control is invented.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const fs = require("node:fs");
const path = require("node:path");
const {scratch, env, keepway, open, fileUrl} = require("./support");

let browser;
let site;
const go = (hash) => browser.go(fileUrl(path.join(site, "machines", "saw", "index.html")) + hash);
const text = () => browser.page.locator("main").innerText();

before(async () => {
  keepway("init", env.KEEPWAY_SHOP, "--title", "Invented shop");
  const layout = path.join(scratch, "saw.toml");
  fs.writeFileSync(layout, 'layout = 1\n[[source]]\ngroup = "programs"\nfiles = ["JOBS.LST"]\nreader = "blocks"\nencoding = "ISO-8859-1"\n');
  keepway("enroll", "saw", "--layout", layout);
  // The text of the first backup comes back with the third.
  for (const [i, remark] of ["AM GER\u00c4T", "AM PC", "AM GER\u00c4T"].entries()) {
    const folder = path.join(scratch, "saw-" + i);
    fs.mkdirSync(folder);
    fs.writeFileSync(path.join(folder, "JOBS.LST"), Buffer.from("%\nO7 (S\u00c4GE)\nN10 G0 X1.\nN20 (" + remark + ")\nN30 M30\n%\n", "latin1"));
    keepway("intake", "saw", folder, "--at", "2026-0" + (i + 1) + "-12", "--by", "Ida");
  }
  site = path.join(scratch, "letters-site");
  keepway("report", "--all", "--to", site);
  browser = await open({viewport: {width: 1280, height: 800}});
});
after(async () => {
  if (browser) await browser.close();
});

test("a program's page shows them as letters", async () => {
  await go("#/program/O7");
  const shown = await text();
  assert.match(shown, /O7 \(S\u00c4GE\)/);
  assert.match(shown, /AM GER\u00c4T/);
  assert.ok(!shown.includes("\\x"), shown);
});

test("what the machine holds now is searched, not the newest text that it ever had", async () => {
  const look = async (words) => {
    await go("#/search/" + encodeURIComponent(words));
    await browser.page.getByRole("button", {name: "Look in notes and program texts too"}).click();
    await browser.page.waitForSelector("h2:has-text('Program texts')");
    return (await text()).split("Program texts").pop();
  };
  assert.match(await look("am ger\u00e4t"), /O7/);
  assert.match(await look("am pc"), /None\./);
});
