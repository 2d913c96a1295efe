// Which blocks of two programs belong together. Blocks that stand once in each and in the same order are
// fixed points; between them the shortest edit is sought up to a bound, past which a stretch counts as
// exchanged whole: time stays near linear whatever the programs are.
keepway.align = (() => {
  const bound = 600;

  // Pairs [i, j] of equal elements by Myers' greedy method; null when more than `bound` edits are needed.
  function shortest(a, b) {
    const n = a.length, m = b.length, most = Math.min(n + m, bound);
    const v = new Int32Array(2 * most + 3);
    const trace = [];
    for (let d = 0; d <= most; ++d) {
      for (let k = -d; k <= d; k += 2) {
        const down = k === -d || (k !== d && v[most + k] < v[most + k + 2]);
        let x = down ? v[most + k + 2] : v[most + k] + 1;
        while (x < n && x - k < m && a[x] === b[x - k]) ++x;
        v[most + k + 1] = x;
        if (x >= n && x - k >= m) return back(trace, a, b, d, most, v);
      }
      trace.push(v.slice(most - d, most + d + 3));
    }
    return null;
  }
  function back(trace, a, b, d, most, last) {
    const pairs = [];
    let x = a.length, y = b.length;
    for (; d > 0; --d) {
      const v = trace[d - 1], middle = d - 1;  // v[middle + k + 1] is the end on diagonal k
      const k = x - y;
      const down = k === -d || (k !== d && v[middle + k] < v[middle + k + 2]);
      const before = down ? k + 1 : k - 1;
      const px = v[middle + before + 1];
      const py = px - before;
      const sx = down ? px : px + 1;
      while (x > sx) pairs.push([--x, --y]);
      x = px;
      y = py;
    }
    while (x > 0) pairs.push([--x, --y]);
    return pairs.reverse();
  }

  // Indices of the longest rising run in `list`.
  function rising(list) {
    const ends = [], before = new Array(list.length).fill(-1);
    list.forEach((value, i) => {
      let low = 0, high = ends.length;
      while (low < high) {
        const middle = (low + high) >> 1;
        if (list[ends[middle]] < value) low = middle + 1;
        else high = middle;
      }
      if (low > 0) before[i] = ends[low - 1];
      ends[low] = i;
    });
    const out = [];
    for (let i = ends.length > 0 ? ends[ends.length - 1] : -1; i >= 0; i = before[i]) out.push(i);
    return out.reverse();
  }

  function anchors(a, b) {
    const seen = new Map();
    a.forEach((line, i) => seen.set(line, seen.has(line) ? null : {i, j: -1}));
    b.forEach((line, j) => {
      const one = seen.get(line);
      if (one) seen.set(line, one.j < 0 ? {i: one.i, j} : null);
    });
    const pairs = [...seen.values()].filter((p) => p && p.j >= 0).sort((p, q) => p.i - q.i);
    return rising(pairs.map((p) => p.j)).map((i) => pairs[i]);
  }

  // Rows {a, b}: places in either program, or -1. `same` compares; a pair that is not same is an exchange.
  function rows(a, b) {
    const pairs = [];
    let i = 0, j = 0;
    for (const end of [...anchors(a, b), {i: a.length, j: b.length}]) {
      let ai = i, bj = j;
      while (ai < end.i && bj < end.j && a[ai] === b[bj]) pairs.push([ai++, bj++]);
      const found = shortest(a.slice(ai, end.i), b.slice(bj, end.j)) || [];
      for (const [x, y] of found) pairs.push([ai + x, bj + y]);
      if (end.i < a.length && end.j < b.length) pairs.push([end.i, end.j]);
      i = end.i + 1;
      j = end.j + 1;
    }
    const out = [];
    i = j = 0;
    for (const [x, y] of [...pairs, [a.length, b.length]]) {
      while (i < x && j < y) out.push({a: i++, b: j++, same: false});
      while (i < x) out.push({a: i++, b: -1, same: false});
      while (j < y) out.push({a: -1, b: j++, same: false});
      if (x < a.length && y < b.length) out.push({a: i++, b: j++, same: true});
    }
    return out;
  }
  return {rows, shortest};
})();
