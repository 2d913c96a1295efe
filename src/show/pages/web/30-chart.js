// Values over time, with limits, marks and missing backups. Values hold until the next backup says otherwise,
// so lines are steps; over a gap nobody knows, so there is none.
keepway.chart = (() => {
  const {el, time, day} = keepway;
  const color = (name) => getComputedStyle(document.documentElement).getPropertyValue("--" + name).trim();

  // [times, values] of an item for each backup, ascending, with a null inside each gap.
  function points(machine, versions) {
    const at = [];
    let version = -1;
    for (let i = versions.length > 0 ? versions[0][0] : 0; i < machine.at.length; ++i) {
      while (version + 1 < versions.length && versions[version + 1][0] <= i) ++version;
      const text = versions[version][1];
      at.push([machine.at[i], text !== null && keepway.isNumber(text) ? Number(text) : null, i, text]);
    }
    const [from, to] = at.reduce(([low, high], p) => [Math.min(low, p[0]), Math.max(high, p[0])], [Infinity, -Infinity]);
    for (const gap of machine.gaps) {
      if (gap.from >= from && gap.to <= to) at.push([gap.from + 1, null, -1, null]);
    }
    at.sort((a, b) => a[0] - b[0]);
    return at;
  }

  // Behind the line: gaps; before it: limits and marks.
  function scenery(machine, limits, small) {
    const inside = (u, x) => x >= u.bbox.left && x <= u.bbox.left + u.bbox.width;
    const stroke = (u, x0, y0, x1, y1, ink, dash) => {
      u.ctx.strokeStyle = ink;
      u.ctx.lineWidth = devicePixelRatio;
      u.ctx.setLineDash(dash.map((d) => d * devicePixelRatio));
      u.ctx.beginPath();
      u.ctx.moveTo(x0, y0);
      u.ctx.lineTo(x1, y1);
      u.ctx.stroke();
    };
    return {hooks: {
      drawClear: (u) => {
        u.ctx.save();
        u.ctx.fillStyle = color("gap");
        for (const gap of machine.gaps) {
          const left = Math.max(u.valToPos(gap.from, "x", true), u.bbox.left);
          const right = Math.min(u.valToPos(gap.to, "x", true), u.bbox.left + u.bbox.width);
          if (right > left) u.ctx.fillRect(left, u.bbox.top, right - left, u.bbox.height);
        }
        u.ctx.restore();
      },
      draw: (u) => {
        u.ctx.save();
        for (const limit of limits) {
          const y = u.valToPos(limit, "y", true);
          if (y >= u.bbox.top && y <= u.bbox.top + u.bbox.height)
            stroke(u, u.bbox.left, y, u.bbox.left + u.bbox.width, y, color("limit"), [6, 4]);
        }
        u.ctx.textAlign = "left";
        u.ctx.textBaseline = "alphabetic";
        u.ctx.font = 11 * devicePixelRatio + "px system-ui, sans-serif";
        u.ctx.fillStyle = color("mark");
        const taken = [];
        for (const mark of machine.marks) {
          const x = u.valToPos(machine.at[mark.backup], "x", true);
          if (!inside(u, x)) continue;
          stroke(u, x, u.bbox.top, x, u.bbox.top + u.bbox.height, color("mark"), [2, 3]);
          if (small) continue;
          const text = mark.name.length > 24 ? mark.name.slice(0, 23) + "\u2026" : mark.name;
          const wide = u.ctx.measureText(text).width;
          const left = x + wide + 8 > u.bbox.left + u.bbox.width ? x - wide - 4 : x + 4;
          const row = [0, 1, 2].find((r) => !taken.some((t) => t[0] === r && left < t[2] && left + wide > t[1]));
          if (row === undefined) continue;
          taken.push([row, left, left + wide + 8]);
          u.ctx.fillText(text, left, u.bbox.top + (12 + 13 * row) * devicePixelRatio);
        }
        u.ctx.restore();
      },
    }};
  }

  function axes(small, unit) {
    const common = {stroke: () => color("faint-ink"), grid: {stroke: () => color("rule"), width: 1},
                    ticks: {stroke: () => color("rule"), width: 1}, font: "11px system-ui, sans-serif"};
    const x = {...common, space: small ? 70 : 80, values: (u, splits) => splits.map((at, i) => {
      const close = splits.length > 1 && splits[1] - splits[0] < 86400;
      const text = close ? time(at).slice(5) : day(at).slice(5);
      return i === 0 || day(at).slice(0, 4) !== day(splits[i - 1]).slice(0, 4) ? text + "\n" + day(at).slice(0, 4) : text;
    })};
    const y = {...common, size: small ? 46 : 66, space: small ? 24 : 34, label: !small && unit ? unit : undefined,
               labelFont: "11px system-ui, sans-serif", labelSize: 18};
    return [x, y];
  }

  // A chart in a figure that fits its width, drawn anew when that or the look changes.
  function figure(machine, options) {
    const holder = el("div.plot", {role: "img", "aria-label": options.label});
    const readout = el("p.readout", {"aria-live": "off"});
    const data = options.points;
    const limits = options.limits || [];
    const small = Boolean(options.small);
    let plot = null;
    const config = () => ({
      width: Math.max(holder.clientWidth, 120),
      height: options.height || 260,
      tzDate: (seconds) => uPlot.tzDate(new Date(seconds * 1000), "Etc/UTC"),
      legend: {show: false},
      cursor: {drag: {x: !small, y: false}, points: {size: 7}},
      scales: {x: {time: true, range: (u, low, high) => {
        const room = Math.max((high - low) * 0.015, 3600);
        return [low - room, high + room];
      }}, y: {range: (u, low, high) => {
        if (low === null || high === null) return [0, 1];
        const all = options.from0 ? [0, low, high] : small ? [low, high] : [low, high, ...limits];
        const [least, most] = [Math.min(...all), Math.max(...all)];
        const room = most > least ? (most - least) * 0.08 : Math.max(Math.abs(most) * 0.02, 0.001);
        return [options.from0 ? 0 : least - room, most + room];
      }}},
      axes: axes(small, options.unit),
      series: [{}, {
        stroke: () => color("line"),
        width: small ? 1.5 : 2,
        fill: options.bars ? () => color("bar") : undefined,
        paths: options.bars ? uPlot.paths.bars({size: [0.7, 14], align: 0}) : uPlot.paths.stepped({align: 1}),
        points: {show: !options.bars && data.length < (small ? 40 : 150), size: small ? 4 : 6},
        spanGaps: false,
      }],
      plugins: [scenery(machine, limits, small)],
      hooks: {setCursor: [(u) => {
        const i = u.cursor.idx;
        if (i === null || i === undefined || !data[i] || data[i][2] < 0) {
          readout.textContent = "\u00a0";
          return;
        }
        readout.textContent = "#" + machine.number[data[i][2]] + " (" + time(data[i][0]) + "): " +
          (options.tell ? options.tell(data[i]) : data[i][3] === null ? "not there" : data[i][3] + (options.unit ? " " + options.unit : ""));
      }], ready: [(u) => {
        if (!options.onpick) return;
        u.over.addEventListener("dblclick", (e) => e.stopPropagation());
        u.over.addEventListener("click", () => {
          const i = u.cursor.idx;
          if (i !== null && i !== undefined && data[i] && data[i][2] >= 0) options.onpick(data[i][2]);
        });
      }]},
    });
    const draw = () => {
      if (!holder.isConnected) return;
      if (plot) plot.destroy();
      plot = new uPlot(config(), [data.map((p) => p[0]), data.map((p) => p[1])], holder);
      const entry = {label: options.label, data: plot.data, plot};
      const at = keepway.charts.findIndex((c) => c.label === options.label);
      if (at >= 0) keepway.charts[at] = entry;
      else keepway.charts.push(entry);
    };
    let width = 0;
    new ResizeObserver(() => {
      if (Math.abs(holder.clientWidth - width) < 2) return;
      width = holder.clientWidth;
      draw();
    }).observe(holder);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
    addEventListener("keepway-look", draw);
    return el(small ? "figure.small" : "figure", {}, options.title ? el("figcaption", {}, options.title) : "",
              holder, readout);
  }

  return {points, figure, day};
})();
// Ink on paper, whatever the screen was.
addEventListener("beforeprint", () => {
  document.documentElement.dataset.printing = "yes";
  dispatchEvent(new Event("keepway-look"));
});
addEventListener("afterprint", () => {
  delete document.documentElement.dataset.printing;
  dispatchEvent(new Event("keepway-look"));
});
