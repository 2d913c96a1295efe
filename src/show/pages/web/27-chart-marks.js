// What is drawn around a chart's line: gaps behind it; limits, marks, jumps and doubtful backups before it.
// Verdicts have a shape beside their colour: a good value is a dot, a doubtful one a diamond.
keepway.chartMarks = (machine, {points, limits = [], small = false, bars = false, reach = [-Infinity, Infinity]}) => {
  const color = (name) => getComputedStyle(document.documentElement).getPropertyValue("--" + name).trim();
  const px = (n) => n * devicePixelRatio;
  const font = (u) => { u.ctx.font = px(11) + "px system-ui, \"DejaVu Sans\", sans-serif"; };
  const right = (u) => u.bbox.left + u.bbox.width;
  const bottom = (u) => u.bbox.top + u.bbox.height;
  const inside = (u, x) => x >= u.bbox.left - 1 && x <= right(u) + 1;
  const isCut = (p) => p[1] !== null && (p[1] < reach[0] || p[1] > reach[1]);
  const jumps = small || bars ? [] : keepway.scale.jumps(points.filter((p) => !isCut(p)), 4);

  function stroke(u, x0, y0, x1, y1, ink, dash) {
    u.ctx.strokeStyle = ink;
    u.ctx.lineWidth = px(1);
    u.ctx.setLineDash(dash.map(px));
    u.ctx.beginPath();
    u.ctx.moveTo(x0, y0);
    u.ctx.lineTo(x1, y1);
    u.ctx.stroke();
    u.ctx.setLineDash([]);
  }

  // A text at a place where none is yet; false where there is no room. On paper of its own, to be read over lines.
  function write(u, taken, text, x, y, ink, {prefer = "right", off = 5} = {}) {
    const wide = u.ctx.measureText(text).width;
    const high = px(13);
    const beside = (left, top) => [Math.max(u.bbox.left + px(2), Math.min(left, right(u) - wide - px(2))), top];
    const sides = prefer === "right" ? [x + px(off), x - wide - px(off)] : [x - wide - px(off), x + px(off)];
    for (const dy of [0, 1, -1, 2, -2, 3, -3]) {
      for (const side of sides) {
        const [left, top] = beside(side, y + dy * high);
        if (top < u.bbox.top || top + high > bottom(u)) continue;
        if (taken.some((t) => left < t[2] && left + wide > t[0] && top < t[3] && top + high > t[1])) continue;
        taken.push([left - px(3), top, left + wide + px(3), top + high]);
        u.ctx.globalAlpha = 0.92;
        u.ctx.fillStyle = color("paper");
        u.ctx.fillRect(left - px(2), top, wide + px(4), high);
        u.ctx.globalAlpha = 1;
        u.ctx.fillStyle = ink;
        u.ctx.fillText(text, left, top + px(10));
        return true;
      }
    }
    return false;
  }

  // Points out of the chart at one of its edges; `inward`: 1 from the upper one, -1 from the lower.
  function wedge(u, x, edge, inward, ink) {
    u.ctx.beginPath();
    u.ctx.moveTo(x - px(4), edge + inward * px(5));
    u.ctx.lineTo(x + px(4), edge + inward * px(5));
    u.ctx.lineTo(x, edge);
    u.ctx.fillStyle = ink;
    u.ctx.fill();
  }

  function diamond(u, x, y, size, ink) {
    u.ctx.beginPath();
    u.ctx.moveTo(x, y - size);
    u.ctx.lineTo(x + size, y);
    u.ctx.lineTo(x, y + size);
    u.ctx.lineTo(x - size, y);
    u.ctx.closePath();
    u.ctx.fillStyle = color("paper");
    u.ctx.fill();
    u.ctx.strokeStyle = ink;
    u.ctx.lineWidth = px(2);
    u.ctx.stroke();
  }

  function gaps(u) {
    u.ctx.save();
    font(u);
    for (const gap of machine.gaps) {
      const from = Math.max(u.valToPos(gap.from, "x", true), u.bbox.left);
      const to = Math.min(u.valToPos(gap.to, "x", true), right(u));
      if (to <= from) continue;
      u.ctx.fillStyle = color("gap");
      u.ctx.fillRect(from, u.bbox.top, to - from, u.bbox.height);
      const text = gap.to === machine.made ? "no backup since " + keepway.date(gap.from) : "";
      if (!text || small || u.ctx.measureText(text).width + px(8) > to - from) continue;
      u.ctx.fillStyle = color("faint-ink");
      u.ctx.textAlign = "center";
      u.ctx.fillText(text, (from + to) / 2, bottom(u) - px(6));
      u.ctx.textAlign = "left";
    }
    u.ctx.restore();
  }

  // Where the diamonds of doubtful backups are: [place in points, x, y, which edge they are at: -1 above, 1 below, 0
  // neither]. Nothing is written over them.
  function doubtfulPlaces(u, taken) {
    const size = px(small ? 3.5 : 5);
    const places = [];
    points.forEach((p, i) => {
      if (!p[4]) return;
      const x = u.valToPos(p[0], "x", true);
      if (!inside(u, x)) return;
      const y = p[4].value === null ? bottom(u) - size - px(2) : u.valToPos(p[4].value, "y", true);
      const out = p[4].value === null ? 0 : y < u.bbox.top + size ? -1 : y > bottom(u) - size ? 1 : 0;
      places.push([i, x, out < 0 ? u.bbox.top + size + px(6) : out > 0 ? bottom(u) - size - px(6) : y, out]);
    });
    for (const [, x, y] of places) taken.push([x - size, y - size, x + size, y + size]);
    return places;
  }

  // Out of the scale of good values: at the edge, which is dashed for as long, with a wedge that points out of it.
  function doubtful(u, taken, places) {
    const ink = color("doubtful");
    const size = px(small ? 3.5 : 5);
    places.forEach(([i, x, y, out]) => {
      const p = points[i];
      diamond(u, x, y, size, ink);
      if (out === 0) return;
      const above = out < 0;
      const edge = above ? u.bbox.top : bottom(u);
      const inward = -out;
      const next = points[i + 1];
      const end = next ? Math.min(u.valToPos(next[0], "x", true), right(u)) : Math.min(x + px(20), right(u));
      stroke(u, x, edge + inward * px(1), end, edge + inward * px(1), ink, [4, 2]);
      wedge(u, x, edge, inward, ink);
      if (small || (i > 0 && points[i - 1][4])) return;
      const why = keepway.doubt(machine, p[2]).short + ": " + p[3] + (above ? ", above" : ", below");
      write(u, taken, why, x, edge + inward * px(6) - (above ? 0 : px(13)), ink, {off: 10});
    });
  }

  const markPlaces = (u) => machine.marks.map((mark) => [mark, u.valToPos(machine.at[mark.backup], "x", true)]).filter(([, x]) => inside(u, x));
  function markLines(u) {
    for (const [, x] of markPlaces(u)) stroke(u, x, u.bbox.top, x, bottom(u), color("mark"), [2, 3]);
  }
  function markNames(u, taken) {
    for (const [mark, x] of small ? [] : markPlaces(u)) {
      write(u, taken, mark.name.length > 24 ? mark.name.slice(0, 23) + "\u2026" : mark.name, x, u.bbox.top + px(2), color("mark"));
    }
  }

  function labels(u, taken) {
    const ink = color("ink");
    for (const jump of jumps) {
      const x = u.valToPos(jump.at, "x", true);
      if (!inside(u, x)) continue;
      const y = (u.valToPos(jump.from, "y", true) + u.valToPos(jump.to, "y", true)) / 2;
      write(u, taken, jump.amount + " on " + keepway.date(jump.at, machine.made) + ", " + keepway.name(machine, jump.place), x, y - px(6), ink);
    }
  }

  // What is beyond the edge is said there, once where it stayed so.
  function edges(u, taken) {
    const ink = color("ink");
    points.forEach((p, i) => {
      const x = u.valToPos(p[0], "x", true);
      if (p[4] || !isCut(p) || !inside(u, x)) return;
      const [edge, inward] = p[1] < reach[0] ? [bottom(u), -1] : [u.bbox.top, 1];
      if (!bars) {
        wedge(u, x, edge, inward, color("line"));
        const tip = edge + inward * px(5);
        taken.push([x - px(4), Math.min(edge, tip), x + px(4), Math.max(edge, tip)]);
      }
      if (small) return;
      if (bars) write(u, taken, p[1].toLocaleString("en") + " \u2191", x, u.bbox.top + px(1), ink);
      else if (i === 0 || points[i - 1][1] !== p[1])
        write(u, taken, p[3] + (p[1] < reach[0] ? " \u2193 " : " \u2191 ") + keepway.date(p[0], machine.made) + ", " + keepway.name(machine, p[2]), x, inward < 0 ? edge - px(15) : edge + px(1), ink);
    });
  }

  // Nothing is written across a bar.
  function takeBars(u, taken) {
    for (const p of points) {
      const x = u.valToPos(p[0], "x", true);
      if (p[1] === null || p[1] <= 0 || !inside(u, x)) continue;
      taken.push([x - px(4), u.valToPos(Math.min(p[1], reach[1]), "y", true), x + px(4), bottom(u)]);
    }
  }

  // Below bars: which backups are doubtful.
  function feet(u) {
    for (const p of points) {
      if (p[2] < 0 || keepway.isGood(machine, p[2])) continue;
      const x = u.valToPos(p[0], "x", true);
      if (inside(u, x)) diamond(u, x, bottom(u) - px(5), px(4), color("doubtful"));
    }
  }

  return {hooks: {drawClear: gaps, draw: (u) => {
    u.ctx.save();
    font(u);
    u.ctx.textAlign = "left";
    u.ctx.textBaseline = "alphabetic";
    const taken = [];
    const places = bars ? [] : doubtfulPlaces(u, taken);
    if (bars) takeBars(u, taken);
    const drawn = limits.map((limit) => [limit, u.valToPos(limit, "y", true)]).filter(([, y]) => y >= u.bbox.top && y <= bottom(u));
    for (const [, y] of drawn) {
      stroke(u, u.bbox.left, y, right(u), y, color("limit"), [6, 4]);
      taken.push([u.bbox.left, y - px(1), right(u), y + px(1)]);
    }
    if (!small) for (const [limit, y] of drawn) write(u, taken, "limit " + limit, right(u), y - px(15), color("limit"), {prefer: "left"});
    markLines(u);
    edges(u, taken);
    markNames(u, taken);
    labels(u, taken);
    if (bars) feet(u);
    else doubtful(u, taken, places);
    u.ctx.restore();
  }}};
};
