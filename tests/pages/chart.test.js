// What is written into the charts: a slip of the keys makes no flat line, and no label lies over a bar or a limit.
"use strict";
const {test, before, after} = require("node:test");
const assert = require("node:assert");
const path = require("node:path");
const {scratch, keepway, open, fileUrl} = require("./support");
const {makeShop} = require("./shop");
const {sizes} = require("./at_counter");

let browser;
const at = (hash) => fileUrl(path.join(scratch, "pages", "index.html")) + hash;
before(async () => {
  makeShop();
  keepway("names", "mill", "edit", "offsets/work/G54/X", "--min", "-14.3", "--max", "-14.2");
  for (const [number, name] of [["3", "before the ballscrew"], ["7", "after the ballscrew"], ["8", "new gib"]]) keepway("mark", "mill", name, "--at", number);
  keepway("report", "mill", "--to", path.join(scratch, "pages"));
});
after(() => browser && browser.close());

// Every text that was drawn last, [text, left, top, right, bottom], in the canvas's own pixels.
async function drawn(look, hash) {
  if (browser) await browser.close();
  browser = await open(look);
  await browser.context.addInitScript(() => {
    window.written = [];
    const fill = CanvasRenderingContext2D.prototype.fillText;
    CanvasRenderingContext2D.prototype.fillText = function (text, x, y, ...more) {
      window.written.push([text, x, y - 9 * devicePixelRatio, x + this.measureText(text).width, y + 2 * devicePixelRatio]);
      return fill.call(this, text, x, y, ...more);
    };
  });
  await browser.go(at(hash));
  await browser.page.waitForFunction(() => keepway.charts.length > 0);
  assert.deepEqual(browser.complaints, []);
  return browser.page.evaluate(() => {
    const {plot, data} = keepway.charts[0];
    const place = (value, scale) => plot.valToPos(value, scale, true);
    return {texts: window.written, edges: [plot.bbox.top, plot.bbox.top + plot.bbox.height], low: plot.scales.y.min, high: plot.scales.y.max, values: Array.from(data[1]),
      points: Array.from(data[0]).map((x, i) => [place(x, "x"), data[1][i] === null ? null : place(data[1][i], "y")]), limits: [-14.3, -14.2].map((limit) => place(limit, "y"))};
  });
}
const crosses = ([, left, top, right, bottom], [l, t, r, b]) => left < r && right > l && top < b && bottom > t;

for (const [size, look] of Object.entries(sizes)) {
  test("one slip is cut at the edge and said, and the others keep their scale, " + size, async () => {
    // -14.251, but for one backup with -1.4251.
    const {texts, low, high, edges, limits, values} = await drawn(look, "#/item/offsets/work/G54/X");
    assert.ok(low > -15 && high < -13, low + " to " + high);
    const said = texts.filter(([text]) => /^-1\.4251 \u2191 9 Feb, #6$/.test(text));
    assert.equal(said.length, 1, JSON.stringify(texts.map(([text]) => text)));
    assert.ok(said[0][2] < (edges[0] + edges[1]) / 2, "at the upper edge");
    assert.deepEqual([...new Set(values)].sort(), [-14.251, null], "no value that the control did not have");
    // Limits by their lines, and over none.
    const named = texts.filter(([text]) => text.startsWith("limit "));
    assert.deepEqual([...new Set(named.map(([text]) => text))].sort(), ["limit -14.2", "limit -14.3"]);
    for (const each of named) for (const y of limits) assert.ok(!crosses(each, [0, y, 1e9, y + 0.5]), each[0] + " is struck through");
  });

  test("no mark is written across a bar, " + size, async () => {
    const {texts, points, edges} = await drawn(look, "#/timeline");
    const names = ["known good", "before the ballscrew", "after the ballscrew", "new gib"];
    const marks = texts.filter(([text]) => names.includes(text));
    assert.ok(new Set(marks.map(([text]) => text)).size >= 2, JSON.stringify(marks));
    for (const mark of marks) for (const [x, y] of points) if (y !== null) assert.ok(!crosses(mark, [x - 1, y, x + 1, edges[1]]), mark[0] + " lies across a bar");
  });
}

test("what is cut is a slip among many, never what the machine has now", async () => {
  if (!browser) await drawn({}, "#/timeline");
  const reach = (values) => browser.page.evaluate((all) => keepway.scale.reach(all).map(String), values);
  const all = ["-Infinity", "Infinity"];
  assert.deepEqual(await reach([1, 1, 1, 1, 1, 1, 1, 1, 1, 100]), all, "the last one");
  assert.deepEqual(await reach([1, 1, 100, 1, 1]), all, "too few to know");
  assert.deepEqual(await reach([1, 1, 1, 1, 5, 5, 5, 5, 5, 5]), all, "a step that stays");
  assert.deepEqual(await reach([10, 10, 10, 10.5, 10, 10, 10, 10, 10]), all, "no more than what a chart shows");
  assert.deepEqual(await reach([1, 2, 3, 4, 5, 6, 7, 8, 9, 10]), all);
  const [low, high] = (await reach([3, 3.5, 3, 3, -300, 3, 3.5, 3, 3])).map(Number);
  assert.ok(low < 3 && low > 2.9 && high > 3.5 && high < 3.6, low + " " + high);
});
