// Two machines of the shop beside each other, as the last good backup of each has them.
(() => {
  const {el, loadOf, count, route} = keepway;

  keepway.chooseTwins = (shop, first, second) => {
    if (shop.machines.length < 2) return "";
    const select = (id, chosen) => el("select", {id}, shop.machines.map((m) => el("option", {value: m.name, selected: m.name === chosen}, m.name)));
    const [a, b] = [select("first-machine", first || shop.machines[0].name), select("second-machine", second || shop.machines[1].name)];
    return el("form.choose", {onsubmit: (e) => {
      e.preventDefault();
      location.hash = route("twins", a.value, b.value);
    }}, el("label", {for: a.id}, "Two machines side by side: "), a, " ", el("label", {for: b.id}, "and "), b, " ", el("button", {type: "submit"}, "Show"));
  };

  // An item as the last good backup has it; by doubtful ones alone there is none.
  const present = (machine, item) => {
    if (!item.doubtful || machine.good === null) return item;
    if (!item.good || (item.good.r === undefined && item.good.v === "")) return {...item, gone: true};
    return {...item, ...item.good, gone: false};
  };
  const valueOf = (item) => item.r === undefined ? item.v : item.r;

  const itemsOf = async (machine, group) => new Map((await loadOf(machine.machine, "items-" + group, machine.tip)).items
    .map((item) => [item.k, present(machine, item)]).filter(([, item]) => !item.gone && !item.only));

  // The text of each program, from the files that hold them: as of the version that is compared.
  const textsOf = async (machine, items) => {
    const files = new Map();
    const texts = new Map();
    for (const [name, item] of items) {
      if (item.h === undefined || name.startsWith("unread/")) continue;
      if (!files.has(item.h)) files.set(item.h, await loadOf(machine.machine, "programs-" + item.h, machine.tip));
      const program = files.get(item.h)[name];
      const held = program.v.findLast((v) => v[0] <= item.s && v[1] !== null);
      if (held) texts.set(name, program.texts[held[1]]);
    }
    return texts;
  };

  const programs = async (one, other) => {
    const [a, b] = [one.machine, other.machine];
    const [left, right] = [await itemsOf(one, "programs"), await itemsOf(other, "programs")];
    const [first, second] = [await textsOf(one, left), await textsOf(other, right)];
    const names = [...new Set([...left.keys(), ...right.keys()])].sort(keepway.natural);
    const lists = [["only on " + a, (n) => !right.has(n)], ["only on " + b, (n) => !left.has(n)],
      ["on both, and not the same", (n) => left.has(n) && right.has(n) && first.get(n) !== second.get(n)]];
    const found = lists.map(([title, is]) => [title, names.filter(is)]).filter(([, list]) => list.length > 0);
    return [el("h2", {}, "programs"), found.length === 0 ? el("p", {}, "All programs are the same.") : found.map(([title, list]) =>
      el("details", {open: list.length <= 20}, el("summary", {}, count(list.length, "program", "programs") + " " + title), el("p", {}, list.join(", "))))];
  };

  keepway.views.twins = async (shop, a, b) => {
    for (const name of [a, b]) if (!shop.machines.some((m) => m.name === name)) return [el("h1", {}, "No machine " + name), keepway.chooseTwins(shop, a, b)];
    const [left, right] = [await loadOf(a, "machine"), await loadOf(b, "machine")];
    const asOf = (m) => el("li", {}, el("a", {href: "machines/" + encodeURIComponent(m.machine) + "/index.html"}, m.machine), ", " + m.units + ", ",
      m.good === null ? "no good backup yet" : "as of " + keepway.name(m, m.good) + " of " + keepway.day(m.at[m.good]));
    const out = [el("h1", {}, a + " and " + b), el("ul", {}, [left, right].map(asOf)), keepway.chooseTwins(shop, a, b)];
    const isSameUnits = left.units === right.units;
    if (!isSameUnits) out.push(el("p.reason", {}, "The machines have different units, so values are not compared here: keepway twin " + a + " " + b + " converts them."));
    for (const group of isSameUnits ? left.groups.map((g) => g.name).filter((g) => g !== "programs") : []) {
      const [first, second] = [await itemsOf(left, group), await itemsOf(right, group)];
      const rows = [];
      let same = 0;
      for (const key of [...new Set([...first.keys(), ...second.keys()])].sort(keepway.natural)) {
        const [x, y] = [first.get(key), second.get(key)];
        if (x && y && (valueOf(x) === valueOf(y) || x.living || y.living)) ++same;
        else rows.push({key, x, y, step: x && y ? keepway.difference(String(valueOf(x)), String(valueOf(y))) : ""});
      }
      out.push(el("h2", {}, group), el("p.quiet", {}, count(rows.length, "item differs", "items differ") + ", " + same.toLocaleString("en") + " the same or of the kind that changes by itself."));
      if (rows.length === 0) continue;
      out.push(keepway.table({caption: "What differs of " + group, rows, size: 100, filter: rows.length > 20 ? "Find in these" : undefined,
        columns: [
          {title: "item", text: (r) => r.key},
          {title: "name", text: (r) => (r.x && r.x.n) || (r.y && r.y.n) || ""},
          {title: a, text: (r) => r.x ? r.x.v : "", cell: (r) => r.x ? r.x.v : el("em", {}, "none"), number: true},
          {title: b, text: (r) => r.y ? r.y.v : "", cell: (r) => r.y ? r.y.v : el("em", {}, "none"), number: true},
          {title: "difference", text: (r) => r.step, compare: (p, q) => Math.abs(Number(p.step || 0)) - Math.abs(Number(q.step || 0)), number: true},
        ]}));
    }
    out.push(await programs(left, right));
    return out;
  };
})();
