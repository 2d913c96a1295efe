// What a chart makes room for: its good values, limits that are near, bars that one would flatten.
keepway.scale = (() => {
  // A limit is drawn where it is no further off than the values reach; one far off would make them a flat line.
  function near(limits, low, high) {
    const reach = Math.max(high - low, Math.max(Math.abs(low), Math.abs(high)) * 0.01);
    return limits.filter((limit) => limit >= low - reach && limit <= high + reach);
  }

  // `head`: the part of the height that is left free, as for what is written above bars.
  function range(low, high, {limits = [], from0 = false, head = 0.1} = {}) {
    if (low === null || high === null) return [0, 1];
    const all = from0 ? [0, low, high] : [low, high, ...near(limits, low, high)];
    const [least, most] = [Math.min(...all), Math.max(...all)];
    const room = most > least ? (most - least) * head : Math.max(Math.abs(most) * 0.02, 0.001);
    return [from0 ? 0 : least - room, most + room];
  }

  // Above this, bars are cut and say their number; Infinity where none rises so far above the others.
  function cap(values) {
    const sorted = values.filter((v) => v > 0).sort((a, b) => a - b);
    if (sorted.length < 5) return Infinity;
    const high = sorted[Math.floor(sorted.length * 0.9)];
    return sorted[sorted.length - 1] > 4 * high ? high * 1.5 : Infinity;
  }

  // Values beyond these are drawn at the edge and said: what a slip of the keys made of a few, which would make all the
  // others a flat line. Of few values none is known to be one, and the last is what the machine has.
  function reach(values) {
    const none = [-Infinity, Infinity];
    if (values.length < 8) return none;
    const sorted = [...values].sort((a, b) => a - b);
    const middle = sorted[Math.floor(sorted.length / 2)];
    const near = [...values].sort((a, b) => Math.abs(a - middle) - Math.abs(b - middle));
    const whole = sorted[sorted.length - 1] - sorted[0];
    // What each and all that are nearer to the middle span.
    let [least, most] = [middle, middle];
    const spans = near.map((v) => {
      [least, most] = [Math.min(least, v), Math.max(most, v)];
      return [least, most];
    });
    for (let left = 1; left <= Math.max(1, Math.floor(values.length / 10)); ++left) {
      const [low, high] = spans[near.length - 1 - left];
      const span = Math.max(high - low, Math.max(Math.abs(low), Math.abs(high)) * 0.01);
      const last = values[values.length - 1];
      if (whole > 20 * span) return last >= low && last <= high ? [low - span * 0.1, high + span * 0.1] : none;
    }
    return none;
  }

  // The steps of good values that stand out, largest first: over a fifth of all that the values span, and
  // several times the usual step.
  function jumps(points, most) {
    const steps = [];
    let before = null;
    for (const p of points) {
      if (p[1] === null) continue;
      if (before !== null && p[1] !== before[1])
        steps.push({at: p[0], place: p[2], from: before[1], to: p[1], amount: keepway.difference(before[3], p[3]), size: Math.abs(p[1] - before[1])});
      before = p;
    }
    if (steps.length === 0) return [];
    const sizes = steps.map((s) => s.size).sort((a, b) => a - b);
    const usual = sizes[Math.floor((sizes.length - 1) / 2)];
    const values = points.filter((p) => p[1] !== null).map((p) => p[1]);
    const [low, high] = values.reduce(([l, h], v) => [Math.min(l, v), Math.max(h, v)], [Infinity, -Infinity]);
    return steps.filter((s) => s.amount && s.size >= (high - low) / 5 && (steps.length < 4 || s.size >= 3 * usual))
      .sort((a, b) => b.size - a.size).slice(0, most);
  }

  return {near, range, cap, reach, jumps};
})();
