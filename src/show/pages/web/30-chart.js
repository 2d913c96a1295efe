// Values over time. Values hold until the next backup says otherwise, so lines are steps; over a gap, and where
// only doubtful backups have it otherwise, nobody knows, so there is no line.
keepway.chart = (() => {
  const {el, time, day} = keepway;
  const color = (name) => getComputedStyle(document.documentElement).getPropertyValue("--" + name).trim();

  // By backup, ascending: [time, value, place, text], the value null and a fifth, {value}, where it is doubtful;
  // and a null with place -1 inside each gap.
  function points(machine, versions) {
    const at = [];
    let version = -1;
    const number = (text) => text !== null && keepway.isNumber(text) ? Number(text) : null;
    for (let i = versions.length > 0 ? versions[0][0] : 0; i < machine.at.length; ++i) {
      while (version + 1 < versions.length && versions[version + 1][0] <= i) ++version;
      if (keepway.isMisdated(machine, i)) continue;
      const [, text, isDoubtful] = versions[version];
      at.push(isDoubtful ? [machine.at[i], null, i, text, {value: number(text)}] : [machine.at[i], number(text), i, text]);
    }
    const [from, to] = at.reduce(([low, high], p) => [Math.min(low, p[0]), Math.max(high, p[0])], [Infinity, -Infinity]);
    for (const gap of machine.gaps) {
      if (gap.from >= from && gap.to <= to) at.push([gap.from + 1, null, -1, null]);
    }
    at.sort((a, b) => a[0] - b[0]);
    return at;
  }

  function axes(small, unit) {
    const common = {stroke: () => color("faint-ink"), grid: {stroke: () => color("rule"), width: 1},
                    ticks: {stroke: () => color("rule"), width: 1}, font: "11px system-ui, sans-serif"};
    const x = {...common, space: small ? 60 : 70, values: (u, splits) => {
      const step = splits.length > 1 ? splits[1] - splits[0] : 0;
      return splits.map((at, i) => {
        const d = new Date(at * 1000);
        const year = day(at).slice(0, 4);
        if (step > 360 * 86400) return year;
        const month = keepway.months[d.getMonth()];
        const text = step >= 27 * 86400 ? month : d.getDate() + " " + month + (step > 0 && step < 86400 ? " " + time(at).slice(11) : "");
        return i === 0 || year !== day(splits[i - 1]).slice(0, 4) ? text + "\n" + year : text;
      });
    }};
    const y = {...common, size: small ? 52 : 72, space: small ? 24 : 34, label: !small && unit ? unit : undefined,
               labelFont: "11px system-ui, sans-serif", labelSize: 18};
    return [x, y];
  }

  // Up to today where no backup came since, though not so far that what there is would be squeezed.
  function timeRange(machine, data) {
    return (u, low, high) => {
      const isWhole = data.length > 0 && low <= data[0][0] && high >= data[data.length - 1][0];
      const isOpen = machine.gaps.some((gap) => gap.to === machine.made);
      if (isWhole && isOpen) high = Math.max(high, Math.min(machine.made, high + Math.max((high - low) * 0.4, 86400)));
      const room = Math.max((high - low) * 0.015, 3600);
      return [low - room, high + room];
    };
  }

  // The pointer's clicks: one opens the backup, two show the whole again, a drag looks closer.
  function pick(u, data, onpick) {
    let down = null;
    let timer = 0;
    u.over.addEventListener("mousedown", (e) => { down = [e.clientX, e.clientY]; });
    u.over.addEventListener("dblclick", () => clearTimeout(timer));
    u.over.addEventListener("click", (e) => {
      if (down && Math.hypot(e.clientX - down[0], e.clientY - down[1]) > 4) return;
      const p = data[u.cursor.idx];
      clearTimeout(timer);
      if (p && p[2] >= 0) timer = setTimeout(() => onpick(p[2]), 300);
    });
  }

  // The same by keyboard: every point is reached, whatever their number.
  function keys(holder, data, moveTo, onpick) {
    let here = -1;
    const next = (from, by) => {
      let i = from + by;
      while (i >= 0 && i < data.length && data[i][2] < 0) i += by;
      return i >= 0 && i < data.length ? i : from;
    };
    holder.addEventListener("keydown", (e) => {
      const to = {ArrowRight: () => next(here, 1), ArrowLeft: () => next(here < 0 ? data.length : here, -1),
                  Home: () => next(-1, 1), End: () => next(data.length, -1)}[e.key];
      if (to) {
        here = to();
        moveTo(here);
      } else if (e.key === "Enter" && here >= 0 && onpick) {
        onpick(data[here][2]);
      } else {
        return;
      }
      e.preventDefault();
    });
  }

  function valuesTable(machine, data, tell) {
    const rows = data.filter((p) => p[2] >= 0).reverse();
    return keepway.table({caption: "The chart's values, newest first", rows, size: 100, columns: [
      {title: "date", class: "date", text: (p) => time(p[0]), compare: (a, b) => a[0] - b[0]},
      {title: "backup", text: (p) => keepway.name(machine, p[2]), cell: (p) => keepway.called(machine, p[2]), compare: (a, b) => a[2] - b[2]},
      {title: "value", text: tell, compare: (a, b) => (a[1] || 0) - (b[1] || 0), number: true},
      {title: "verdict", text: (p) => keepway.worthOf(machine.worth[p[2]]), cell: (p) =>
        keepway.worth(keepway.worthOf(machine.worth[p[2]]), machine.worth[p[2]] !== machine.worth[p[2]].toLowerCase())},
    ]});
  }

  // A chart in a figure that fits its width, drawn again when that or the look changes.
  function figure(machine, options) {
    const small = Boolean(options.small);
    const holder = el("div.plot", {role: "group", "aria-roledescription": "chart", "aria-label": options.label, tabindex: small ? undefined : "0"});
    const readout = el("p.readout", {role: "status", "aria-live": "polite"});
    const data = options.points;
    const limits = options.limits || [];
    const values = data.map((p) => p[1]).filter((v) => v !== null);
    const reach = options.bars ? [-Infinity, keepway.scale.cap(values)] : keepway.scale.reach(values);
    // A bar ends at the edge. A line has a gap where its value is beyond; the value is written at the edge.
    const within = (value) => value === null || (value >= reach[0] && value <= reach[1]) ? value : options.bars ? reach[1] : null;
    const head = options.bars && machine.marks.length > 0 ? 0.3 : 0.1;  // marks are written above bars
    const tell = options.tell || ((p) => p[3] === null ? "not there" : p[3] + (options.unit ? " " + options.unit : "") + (p[4] ? ", doubtful" : ""));
    const say = (i) => {
      const p = data[i];
      readout.textContent = p && p[2] >= 0 ? keepway.name(machine, p[2]) + " (" + time(p[0]) + "): " + tell(p) : "\u00a0";
    };
    let plot = null;
    const config = () => ({
      width: Math.max(holder.clientWidth, 120),
      height: options.height || 260,
      legend: {show: false},
      cursor: {drag: {x: !small, y: false}, points: {size: 7}},
      scales: {x: {time: true, range: timeRange(machine, data)},
               y: {range: (u, low, high) => keepway.scale.range(low, high, {limits: small ? [] : limits, from0: options.from0, head})}},
      axes: axes(small, options.unit),
      series: [{}, {
        stroke: () => color("line"),
        width: small ? 1.5 : 2,
        fill: options.bars ? () => color("bar") : undefined,
        paths: options.bars ? uPlot.paths.bars({size: [0.7, 14], align: 0}) : uPlot.paths.stepped({align: 1}),
        points: {show: !options.bars && data.length < (small ? 40 : 150), size: small ? 4 : 6},
        spanGaps: false,
      }],
      plugins: [keepway.chartMarks(machine, {points: data, limits, small, bars: options.bars, reach})],
      hooks: {setCursor: [(u) => say(u.cursor.idx)], ready: [(u) => {
        if (options.onpick) pick(u, data, options.onpick);
      }]},
    });
    const draw = () => {
      if (!holder.isConnected) return;
      if (plot) plot.destroy();
      plot = new uPlot(config(), [data.map((p) => p[0]), data.map((p) => within(p[1]))], holder);
      const entry = {label: options.label, data: plot.data, plot};
      const at = keepway.charts.findIndex((c) => c.label === options.label);
      if (at >= 0) keepway.charts[at] = entry;
      else keepway.charts.push(entry);
    };
    if (!small) {
      keys(holder, data, (i) => {
        if (!plot) return;
        plot.setCursor({left: plot.valToPos(data[i][0], "x"), top: within(data[i][1]) === null ? 0 : plot.valToPos(within(data[i][1]), "y")});
        say(i);
      }, options.onpick);
    }
    let width = 0;
    new ResizeObserver(() => {
      if (Math.abs(holder.clientWidth - width) < 2) return;
      width = holder.clientWidth;
      draw();
    }).observe(holder);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
    addEventListener("keepway-look", draw);
    const table = small ? "" : el("details.as-table", {ontoggle: (e) => {
      if (e.target.open && !e.target.querySelector("table")) e.target.append(valuesTable(machine, data, tell));
    }}, el("summary", {}, "The chart as a table"));
    return el(small ? "figure.small" : "figure", {}, options.title ? el("figcaption", {}, options.title) : "",
              holder, readout, table);
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
