// How long a report takes to open, from the disk. Usage: sh tests/pages/run's NODE_PATH, then
//   node tests/pages/opening.js REPORT/index.html [ROUNDS]
"use strict";
const {open, fileUrl} = require("./support");
const path = require("node:path");

(async () => {
  const file = fileUrl(path.resolve(process.argv[2]));
  const rounds = Number(process.argv[3] || 5);
  for (const hash of ["#/glance", "#/timeline", "#/items/offsets", "#/item/variables/300", "#/trends", "#/heat", "#/search/tool%207"]) {
    const times = [];
    for (let i = 0; i < rounds; ++i) {
      const browser = await open();  // a fresh one each time: nothing is kept from the round before
      const start = process.hrtime.bigint();
      await browser.go(file + hash);
      await browser.page.evaluate(() => new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0))));
      times.push(Number(process.hrtime.bigint() - start) / 1e6);
      await browser.close();
    }
    times.sort((a, b) => a - b);
    console.log(hash.padEnd(24) + times.map((t) => t.toFixed(0)).join(" ") + " ms");
  }
})();
