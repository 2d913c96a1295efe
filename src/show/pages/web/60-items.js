// Every item of a group, with since when it is what it is, and by whom; and where one item's history is.
keepway.views.items = async (machine, group) => {
  const {el, link, load, byValue, natural} = keepway;
  const known = machine.groups.find((g) => g.name === group);
  if (!known) return [el("h1", {}, "No such group")];
  if (group === "programs") return keepway.views.programs(machine);
  const items = (await load("items-" + group)).items.map(keepway.held);
  const named = keepway.acts.name || items.some((r) => r.n);
  return [el("h1", {}, group), keepway.asOf(machine), keepway.table({
    caption: "Every item of " + group + ", its value, since when and by whom", rows: items, filter: "Find an item, a name, a value, a person",
    columns: [
      {title: "item", text: (r) => r.k, cell: (r) => link(r.k, "item", group, ...r.k.split("/"))},
      ...(named ? [{title: "name", text: (r) => r.n || "", cell: keepway.acts.name ? (r) => keepway.acts.name(machine, group, r) : null}] : []),
      {title: "value", text: (r) => r.v, compare: (a, b) => byValue(a.r || a.v, b.r || b.v), cell: keepway.valueCell, number: "mixed"},
      {title: "since", class: "date", text: (r) => keepway.dayAt(machine, r.s) + (r.gone ? " gone" : r.only ? " only there" : ""), compare: (a, b) => machine.at[a.s] - machine.at[b.s]},
      {title: "backup", text: (r) => keepway.name(machine, r.s), cell: (r) => link(keepway.name(machine, r.s), "backup", machine.number[r.s]), compare: (a, b) => a.s - b.s, number: true},
      {title: "by", text: (r) => keepway.by(machine, r.s)},
      {title: "changes", text: (r) => r.c, compare: (a, b) => a.c - b.c, number: true},
    ]})];
};

// Whose values are shown as the present ones, and what must be known of them.
keepway.asOf = (machine) => {
  const {el, link, worth, worthOf, name} = keepway;
  if (machine.shown === null) return "";
  const called = (place) => [link(name(machine, place), "backup", machine.number[place]), " of " + keepway.dayAt(machine, place)];
  const letter = machine.worth[machine.shown];
  const out = [el("p.quiet", {}, "As of ", called(machine.shown), ", ", worth(worthOf(letter), letter < "a"), ".")];
  if (letter !== "g" && letter === letter.toLowerCase() && machine.good !== null && machine.good !== machine.shown)
    out.push(el("p.reason", {}, "This backup is not good; the last good one is ", called(machine.good), "."));
  const since = [];
  for (let i = machine.shown + 1; i < machine.number.length; ++i) since.push(i);
  if (since.length > 0)
    out.push(el("p.note", {}, "Stored since, and not the newest: ", since.slice(-8).map((place, i) =>
      [i > 0 ? "; " : "", called(place), keepway.isWithdrawn(machine, place) ? ", withdrawn" : ""]), "."));
  return out;
};

// Who took a backup in.
keepway.by = (machine, place) => machine.people[machine.by[place]];

keepway.item = async (machine, address) => {
  const slash = address.indexOf("/");
  const {items} = await keepway.load("items-" + address.slice(0, slash));
  const item = items.find((i) => i.k === address.slice(slash + 1));
  if (!item) return null;
  if (item.h === undefined) return {item, versions: [[item.s, item.r === undefined ? null : item.r, item.doubtful, item.v]]};
  const history = (await keepway.load("history-" + item.h))[address];
  return {item, versions: history.v, unit: history.unit, kind: history.kind,
          limits: [history.min, history.max].filter((l) => l !== undefined).map(Number), min: history.min, max: history.max};
};

keepway.trend = (machine, address, found, more) => keepway.chart.figure(machine, {
  label: address + " over time", points: keepway.chart.points(machine, found.versions), unit: found.unit,
  limits: found.limits, onpick: (place) => { location.hash = keepway.route("backup", machine.number[place]); }, ...more});
