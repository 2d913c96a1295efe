// The served pages in a real browser: the same, and they follow the machine.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const http = require("node:http");
const {env, open, spawn} = require("./support");
const {makeShop, take, day} = require("./shop");

const servers = [];
let url;
let browser;
function serve(...machines) {
  const server = spawn(process.env.KEEPWAY, ["view", ...machines, "--json"], {env, stdio: ["ignore", "pipe", "inherit"]});
  servers.push(server);
  return new Promise((done, failed) => {
    let text = "";
    server.stdout.on("data", (data) => {
      text += data;
      const found = /"url": "([^"]+)"/.exec(text);
      if (found) done(found[1]);
    });
    server.on("exit", (code) => failed(new Error("keepway view ended with " + code)));
  });
}
before(async () => {
  makeShop();
  url = await serve("mill");
  browser = await open();
});
after(async () => {
  if (browser) await browser.close();
  servers.forEach((server) => server.kill());
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

test("two machines are compared as they are now, and no other path is one of theirs", async () => {
  const shop = await serve();
  await browser.page.goto(shop + "#/twins/mill/hostile");
  await browser.page.waitForSelector("main[data-shown='twins']");
  assert.match(await browser.page.locator("main").innerText(), /hostile, Title <img src=x[\s\S]*, as of #6 of [\s\S]*mill, Invented mill, inch, as of #11 of [\s\S]*\d+ items equal/);
  assert.equal(await browser.page.locator("main img, main script").count(), 0);
  // As it is written: a browser takes dots out of a path.
  const status = (path, from = shop) => new Promise((done, failed) => {
    const {hostname, port} = new URL(from);
    http.get({hostname, port, path: "/" + path}, (reply) => {
      reply.resume();
      done(reply.statusCode);
    }).on("error", failed);
  });
  assert.equal(await status("data/twins/hostile/mill/twins.js"), 200);
  for (const path of ["data/twins/hostile/hostile/twins.js", "data/twins/hostile/nobody/twins.js", "data/twins/hostile/mill/..%2f..%2fshop.toml", "data/twins/../mill/twins.js", "data/twins/hostile/mill/"])
    assert.equal(await status(path), 404, path);
  assert.equal(await status("data/twins/hostile/mill/twins.js", url), 404, "one machine has no other");
});
