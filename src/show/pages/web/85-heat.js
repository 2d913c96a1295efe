// Which items change when: a row an item, a column a stretch of time.
keepway.views.heat = async (machine, group = "all") => {
  const {el, load, link, day, route, count} = keepway;
  const {columns, rows} = await load("heat");
  const groups = ["all", ...machine.groups.map((g) => g.name)];
  const select = el("select", {"aria-label": "Group", onchange: () => { location.hash = route("heat", select.value); }}, groups.map((g) => el("option", {value: g}, g)));
  select.value = groups.includes(group) ? group : "all";
  const total = (row) => row.c.reduce((sum, n, i) => sum + (i % 2 ? n : 0), 0);
  const all = rows.filter((r) => select.value === "all" || r.a.startsWith(select.value + "/")).map((r) => ({...r, total: total(r)})).sort((a, b) => b.total - a.total);
  const body = el("tbody");
  const size = 60;
  let shown = 0;
  const more = el("div.pager");
  const grow = () => {
    const next = all.slice(shown, shown + size);
    shown += next.length;
    for (const row of next) {
      const cells = columns.map(() => 0);
      for (let i = 0; i < row.c.length; i += 2) cells[row.c[i]] = row.c[i + 1];
      const parts = row.a.split("/");
      const to = parts[0] === "programs" && parts[1] !== "unread" ? route("program", parts.slice(1).join("/")) : route("item", ...parts);
      body.append(el("tr", {}, el("th", {scope: "row"}, el("a", {href: to}, row.n || row.a)), cells.map((n, i) => {
        const few = columns[i].backups === 0;
        // How often of the times that it could have.
        const heat = few ? "none" : n === 0 ? "0" : String(Math.min(4, Math.ceil(4 * n / columns[i].backups)));
        return el("td", {"data-heat": heat, title: (row.n || row.a) + ", from " + day(columns[i].from) + ": " + (few ? "no backup" : count(n, "change", "changes") + " in " + count(columns[i].backups, "backup", "backups"))}, n > 0 ? el("span.unseen", {}, String(n)) : "");
      }), el("td.number", {}, String(row.total))));
    }
    more.replaceChildren();
    if (shown < all.length) more.append(el("button", {type: "button", onclick: grow}, "Show " + Math.min(size, all.length - shown) + " more of " + all.length));
  };
  grow();
  const every = Math.max(1, Math.ceil(columns.length / 8));
  const heads = [];
  for (let i = 0; i < columns.length; i += every) heads.push(el("th.date", {scope: "colgroup", colspan: Math.min(every, columns.length - i)}, day(columns[i].from)));
  const scroll = el("div.scroll", {tabindex: "0", role: "region", "aria-label": "Heat map"}, el("table.heat", {}, el("caption", {}, "Changes of each item over time"),
    el("thead", {}, el("tr", {}, el("th", {scope: "col"}, "item"), heads, el("th.number", {scope: "col"}, "all"))), body));
  // Where the window is narrower, what is newest is seen first.
  requestAnimationFrame(() => { scroll.scrollLeft = scroll.scrollWidth; });
  return [el("h1", {}, "What changes when"), el("p", {}, "Group ", select),
    el("p.quiet", {}, all.length === 0 ? "Nothing changed." : "The darker, the more of the backups of that time changed the item; doubtful backups are left out. Hatched: no backup."),
    el("p.legend", {"aria-hidden": "true"}, ["none", "0", "1", "2", "3", "4"].map((h) => el("span", {"data-heat": h}, ""))),
    scroll, more];
};
