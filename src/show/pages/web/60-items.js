// Every item of a group, with since when it is what it is, and by whom; and one item over time.
keepway.views.items = async (machine, group) => {
  const {el, link, day, load, byValue, natural} = keepway;
  const known = machine.groups.find((g) => g.name === group);
  if (!known) return [el("h1", {}, "No such group")];
  if (group === "programs") return keepway.views.programs(machine);
  const {items} = await load("items-" + group);
  return [el("h1", {}, group), keepway.table({
    caption: "Every item of " + group + ", its value, since when and by whom", rows: items, filter: "Find an item, a name, a value, a person",
    columns: [
      {title: "item", text: (r) => r.k, cell: (r) => link(r.k, "item", group, ...r.k.split("/"))},
      {title: "name", text: (r) => r.n || ""},
      {title: "value", text: (r) => r.v, compare: (a, b) => byValue(a.r || a.v, b.r || b.v), cell: (r) => r.gone ? el("s", {}, r.v) : r.v, number: true},
      {title: "since", class: "date", text: (r) => day(machine.at[r.s]) + (r.gone ? " gone" : ""), compare: (a, b) => machine.at[a.s] - machine.at[b.s]},
      {title: "backup", text: (r) => "#" + machine.number[r.s], cell: (r) => link("#" + machine.number[r.s], "backup", machine.number[r.s]), compare: (a, b) => a.s - b.s, number: true},
      {title: "by", text: (r) => keepway.by(machine, r.s)},
      {title: "changes", text: (r) => r.c, compare: (a, b) => a.c - b.c, number: true},
    ]})];
};

// Who took a backup in.
keepway.by = (machine, place) => machine.people[machine.by[place]];

keepway.item = async (machine, address) => {
  const slash = address.indexOf("/");
  const {items} = await keepway.load("items-" + address.slice(0, slash));
  const item = items.find((i) => i.k === address.slice(slash + 1));
  if (!item) return null;
  if (item.h === undefined) return {item, versions: [[item.s, item.r === undefined ? null : item.r]]};
  const history = (await keepway.load("history-" + item.h))[address];
  return {item, versions: history.v, unit: history.unit,
          limits: [history.min, history.max].filter((l) => l !== undefined).map(Number), min: history.min, max: history.max};
};

keepway.trend = (machine, address, found, more) => keepway.chart.figure(machine, {
  label: address + " over time", points: keepway.chart.points(machine, found.versions), unit: found.unit,
  limits: found.limits, onpick: (place) => { location.hash = keepway.route("backup", machine.number[place]); }, ...more});

keepway.views.item = async (machine, ...parts) => {
  const {el, link, time, isNumber} = keepway;
  const address = parts.join("/");
  const found = await keepway.item(machine, address);
  if (!found) return [el("h1", {}, address), el("p", {}, "No backup here has such an item.")];
  const out = [el("h1", {}, found.item.n || address)];
  if (found.item.n) out.push(el("p.address", {}, address));
  out.push(el("p.now", {}, found.item.gone ? "Gone; it last was " : "Now ", el("strong", {}, found.item.v)));
  if (found.versions.some((v) => v[1] !== null && isNumber(v[1]))) {
    const limits = [found.min !== undefined ? "least " + found.min : "", found.max !== undefined ? "most " + found.max : ""].filter(Boolean).join(", ");
    out.push(keepway.trend(machine, address, found), el("p.told", {}, (limits ? "Limits by the namebook: " + limits + ". " : "") +
      "Shaded: missing backups. Drag over the chart to look closer, double-click for the whole."));
  }
  const versions = found.versions.map((v, i) => ({place: v[0], value: v[1], before: i > 0 ? found.versions[i - 1][1] : null})).reverse();
  out.push(el("h2", {}, "Changes"), keepway.table({
    caption: "Each change of " + address + ", newest first", rows: versions, size: 100,
    columns: [
      {title: "date", class: "date", text: (r) => time(machine.at[r.place]), compare: (a, b) => machine.at[a.place] - machine.at[b.place]},
      {title: "backup", text: (r) => "#" + machine.number[r.place], cell: (r) => link("#" + machine.number[r.place], "backup", machine.number[r.place]), compare: (a, b) => a.place - b.place, number: true},
      {title: "old", text: (r) => r.before === null ? "none" : r.before, compare: (a, b) => keepway.byValue(a.before || "", b.before || ""), number: true},
      {title: "new", text: (r) => r.value === null ? "gone" : r.value, compare: (a, b) => keepway.byValue(a.value || "", b.value || ""), number: true},
      {title: "by", text: (r) => keepway.by(machine, r.place)},
    ]}));
  return out;
};
