// What drifts, of every group; and small multiples: one table of items (tools, work offsets …) as many small charts.
keepway.views.trends = async (machine, group = "", table = "", field = "") => {
  const {el, load, link, route, natural} = keepway;
  const names = machine.groups.map((g) => g.name).filter((g) => g !== "programs");
  const loaded = await Promise.all(names.map((g) => load("items-" + g)));
  const families = new Map();  // "offsets/tool" + "length" -> items
  loaded.forEach(({group: g, items}) => items.forEach((item) => {
    const parts = item.k.split("/");
    if (parts.length < 3 || item.k.startsWith("unread/") || item.r === undefined || !keepway.isNumber(item.r)) return;
    const key = [g, parts.slice(0, -2).join("/"), parts[parts.length - 1]].join("\u0001");
    if (!families.has(key)) families.set(key, []);
    families.get(key).push(item);
  }));
  const keys = [...families.keys()].sort((a, b) => natural(a, b));
  const title = (key) => {
    const [g, t, f] = key.split("\u0001");
    return g + " " + t + ": " + f;
  };
  const changed = (key) => families.get(key).reduce((sum, item) => sum + item.c, 0);
  const most = (list) => [...list].sort((a, b) => changed(b) - changed(a))[0];
  const wanted = [group, table, field].join("\u0001");
  const chosen = families.has(wanted) ? wanted : most(keys.filter((k) => k.includes("\u0001tool\u0001"))) || most(keys);
  const every = await load("drifts");
  const present = names.filter((g) => every.some((d) => d.a.startsWith(g + "/")));
  const list = el("div");
  const of = el("select", {"aria-label": "Group", onchange: () => list.replaceChildren(keepway.driftTable(every.filter((d) => d.a.startsWith(of.value))))},
    el("option", {value: ""}, "all"), present.map((g) => el("option", {value: g + "/"}, g)));
  list.append(keepway.driftTable(every));
  const out = [el("h1", {}, "Trends"), el("h2", {}, "Drift in 12 months"), el("p.quiet", {}, "By the slope that most pairs of good backups agree on (Theil and Sen), so that a single wrong value or jump weighs little; " +
    "the range is that of 95 % confidence. No limit is forecast from fewer than eight good backups."), el("p", {}, "Group ", of), list, el("h2", {}, "Side by side")];
  if (chosen) {
    const [g] = chosen.split("\u0001");
    const select = el("select", {"aria-label": "Table", onchange: () => { location.hash = route("trends", ...select.value.split("\u0001")); }},
      keys.map((key) => el("option", {value: key}, title(key))));
    select.value = chosen;
    const items = [...families.get(chosen)].sort((a, b) => b.c - a.c || natural(a.k, b.k));
    const moving = items.filter((item) => item.c > 0).length;
    const grid = el("div.multiples");
    const size = 12;  // a screen of them; each is a chart to draw
    let shown = 0;
    const more = el("div.pager");
    const grow = async () => {
      const next = items.slice(shown, shown + size);
      shown += next.length;
      for (const item of next) {
        const address = g + "/" + item.k;
        const found = await keepway.item(machine, address);
        grid.append(el("div.multiple", {}, el("p.label", {}, link(item.n || item.k, "item", ...address.split("/")), " ", el("strong", {}, item.v)),
          keepway.trend(machine, address, found, {small: true, height: 110, onpick: undefined})));
      }
      more.replaceChildren();
      if (shown < items.length) more.append(el("button", {type: "button", onclick: grow}, "Show " + Math.min(size, items.length - shown) + " more"));
    };
    await grow();
    out.push(el("p", {}, "Table ", select), el("p.quiet", {}, moving + " of " + items.length + " changed; those that changed most come first. Each has its own scale."), grid, more);
  }
  return out;
};
