// The served pages in a real browser: the same, and they follow the machine.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const {env, open, spawn} = require("./support");
const {makeShop, take, day} = require("./shop");

let server;
let url;
let browser;
before(async () => {
  makeShop();
  server = spawn(process.env.KEEPWAY, ["view", "mill", "--json"], {env, stdio: ["ignore", "pipe", "inherit"]});
  url = await new Promise((done, failed) => {
    let text = "";
    server.stdout.on("data", (data) => {
      text += data;
      const found = /"url": "([^"]+)"/.exec(text);
      if (found) done(found[1]);
    });
    server.on("exit", (code) => failed(new Error("keepway view ended with " + code)));
  });
  browser = await open();
});
after(async () => {
  if (browser) await browser.close();
  if (server) server.kill();
});

test("the served pages are the report's, with search", async () => {
  await browser.go(url + "#/items/offsets");
  assert.equal(await browser.page.locator("main h1").innerText(), "offsets");
  await browser.page.getByLabel("Search this machine").fill("tool 2 length");
  await browser.page.keyboard.press("Enter");
  await browser.page.waitForSelector("main[data-shown^='#/search'] tbody tr");
  assert.match(await browser.page.locator("main").innerText(), /offsets\/tool\/2\/length/);
});

test("a newer backup is announced, and shown at a reload", async () => {
  await browser.go(url + "#/timeline");
  take("mill", "4711", 11, day(15));
  await browser.page.waitForSelector("text=There is a newer backup", {timeout: 20000});
  await browser.page.getByRole("button", {name: "Show it"}).click();
  await browser.page.waitForSelector("li.backup a:text-is('#11')");
  assert.deepEqual(browser.complaints, []);
});
