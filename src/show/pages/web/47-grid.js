// Tables of offsets as they are at the machine: a row a work offset or a tool, a column an axis or a measure, each
// cell with its age. Rows of nothing but zeros are folded away.
keepway.grids = (machine, items) => {
  const {el, natural} = keepway;
  const tables = new Map();
  for (const item of items) {
    const [table, row, field, ...more] = item.k.split("/");
    if (field === undefined || more.length > 0 || table === "unread") continue;
    if (!tables.has(table)) tables.set(table, {rows: new Map(), fields: new Set()});
    const {rows, fields} = tables.get(table);
    if (!rows.has(row)) rows.set(row, new Map());
    rows.get(row).set(field, item);
    fields.add(field);
  }
  const order = (a, b) => (b === "work") - (a === "work") || (b === "tool") - (a === "tool") || natural(a, b);
  const names = [...tables.keys()].sort(order);
  if (names.length === 0) return "";
  return el("div.grids", {}, names.map((name) => el("section", {}, el("h2", {}, name + " offsets"), keepway.grid(machine, name, tables.get(name)))));
};

keepway.grid = (machine, name, {rows, fields}) => {
  const {el, link, natural, isNumber, count} = keepway;
  const most = 60;
  const numeric = (field) => [...rows.values()].every((row) => !row.has(field) || isNumber(row.get(field).r || "0"));
  const axes = "XYZABCUVW";
  const rank = (field) => field.length === 1 && axes.includes(field) ? axes.indexOf(field) : !numeric(field) ? 10 : {length: 20, diameter: 21}[field] || 30;
  const columns = [...fields].sort((a, b) => rank(a) - rank(b) || natural(a, b));
  const good = machine.good;
  const present = (item) => item.doubtful && item.good ? item.good : item;
  const raw = (item) => present(item).r === undefined ? present(item).v : present(item).r;
  const isEmpty = (item) => item.gone || raw(item) === "" || (isNumber(raw(item)) && Number(raw(item)) === 0);

  const cell = (key, item) => {
    const now = present(item);
    const since = machine.at[now.s];
    const old = keepway.age(since, machine.made);
    // As it was in the first backup: it may be older than that.
    if (keepway.isMisdated(machine, now.s)) return [el("a", {href: keepway.route("item", "offsets", ...item.k.split("/"))}, raw(item)), " ", el("span.age", {}, "day unknown")];
    const said = (now.s === 0 && old !== "today" ? "over " : "") + old;
    const fresh = now.s === good && now.s !== 0;
    return [el("a", {href: keepway.route("item", "offsets", ...item.k.split("/")), "aria-label": key + ": " + raw(item) + ", since " + keepway.date(since)}, raw(item)), " ",
      el("span.age", {title: "since " + keepway.date(since)}, (fresh ? "\u25cf " : "") + said),
      item.doubtful ? el("span.reason.age", {}, "? newest: " + item.v) : ""];
  };
  const keys = [...rows.keys()].filter((key) => [...rows.get(key).values()].some((item) => !item.gone)).sort(natural);
  const filled = keys.filter((key) => ![...rows.get(key).values()].every(isEmpty));
  const zeros = keys.filter((key) => !filled.includes(key));
  const tr = (key) => el("tr", {}, el("th", {scope: "row"}, key), columns.map((field) => {
    const item = rows.get(key).get(field);
    return el("td", {class: [numeric(field) ? "number" : "", item && isEmpty(item) ? "zero" : ""].join(" ").trim() || null}, item && !item.gone ? cell(key + " " + field, item) : "");
  }));
  const table = (which, caption) => el("div.scroll", {tabindex: "0", role: "region", "aria-label": name + " offsets: " + caption}, el("table.grid", {}, el("caption", {}, caption),
    el("thead", {}, el("tr", {}, el("th", {scope: "col"}, name), columns.map((field) => el("th", {scope: "col", class: numeric(field) ? "number" : null}, field)))),
    el("tbody", {}, which.map(tr))));
  const out = [];
  if (filled.length > 0) out.push(table(filled.slice(0, most), "As the control has them, and for how long"));
  if (filled.length > most) out.push(el("p", {}, "And " + count(filled.length - most, "more row", "more rows") + ": ", link("all offsets", "items", "offsets")));
  if (zeros.length > 0) {
    const few = zeros.slice(0, 12).join(", ") + (zeros.length > 12 ? " \u2026" : "");
    out.push(el("details", {ontoggle: (e) => {
      if (e.target.open && !e.target.querySelector("table")) e.target.append(table(zeros.slice(0, 500), "All zero"));
    }}, el("summary", {}, count(zeros.length, "row is", "rows are") + " all zero: " + few)));
  }
  return out;
};
