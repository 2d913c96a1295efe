// One item: a sentence that says what it is, then its values over time and each of its changes.

// An item as good backups have it since: what memory lost in between showed is left out.
keepway.held = (item) => item.held === undefined ? item : {...item, s: item.held};

keepway.valueCell = (item) => {
  const {el} = keepway;
  if (item.doubtful) return [el("span.reason", {}, "? " + item.v), item.good ? el("p.note", {}, "last good: " + item.good.v) : ""];
  return item.gone ? el("s", {}, item.v) : item.v;
};

// "-298.9793 mm since 27 Nov 2026, was -298.972 (-0.0073), by Ida in #12"
keepway.sentence = (machine, held, shown) => {
  const {el, dateOf, called, difference} = keepway;
  const now = held[held.length - 1];
  const before = held[held.length - 2];
  const by = [", by " + keepway.by(machine, now.place) + " in ", called(machine, now.place), "."];
  if (now.value === null) return ["Gone since " + dateOf(machine, now.place), before ? [", was ", el("strong", {}, shown(before))] : "", by];
  const value = el("strong", {}, shown(now));
  if (!before) return [value, (now.place === 0 ? " since the first backup, " : " since ") + dateOf(machine, now.place), by];
  const step = now.text === now.value ? difference(before.value, now.value) : "";
  const was = before.value === null ? ", was gone" : ", was " + (before.text === before.value ? before.value : before.text) + (step ? " (" + step + ")" : "");
  return [value, " since " + dateOf(machine, now.place) + was, by];
};

keepway.opening = (machine, story, shown) => {
  const {el, dateOf, called, stretch, doubt} = keepway;
  const {held, doubtful} = story;
  const open = doubtful.find((s) => s.isOpen);
  const out = [];
  if (held.length > 0) out.push(el("p.now", {}, open ? "By the last good backup: " : "", keepway.sentence(machine, held, shown)));
  if (open) {
    const why = doubt(machine, open.place);
    const value = open.values[open.values.length - 1];
    out.push(el("p.reason", {}, "? Since " + dateOf(machine, open.place) + ", ", called(machine, open.place), ", only doubtful backups: they show " +
      (value === null ? "no such item" : value) + ". " + why.short + (why.reason ? ": " + why.reason : "") + "."),
      why.remedy ? el("p.note", {}, "do: " + why.remedy) : "");
  }
  const folded = doubtful.filter((s) => !s.isOpen).reverse();
  if (folded.length === 0) return out;
  const list = el("ul.folded", {}, folded.map((s) => el("li", {}, el("span.reason", {}, "? "), stretch(machine, s) + " (", called(machine, s.place),
    " showed " + (s.values[0] === null ? "no such item" : s.values[0]) + ")")));
  out.push(folded.length < 3 ? list : el("details", {}, el("summary", {}, keepway.count(folded.length, "doubtful time", "doubtful times") + ", the last: " + stretch(machine, folded[0])), list));
  return out;
};

keepway.changesTable = (machine, address, held) => {
  const {time, called, difference} = keepway;
  const rows = held.map((h, i) => {
    const before = i > 0 ? held[i - 1] : null;
    return {place: h.place, value: h, before, step: before && h.text === h.value ? difference(before.value, h.value) : ""};
  }).reverse();
  const text = (h, none) => h === null || h.value === null ? none : h.text;
  const byValue = (get) => (a, b) => keepway.byValue((get(a) || {}).value || "", (get(b) || {}).value || "");
  const table = (shown, which) => keepway.table({
    caption: which + " of " + address + ", newest first; doubtful backups left out", rows: shown, size: 100, empty: "No change is larger.",
    columns: [
      {title: "date", class: "date", text: (r) => time(machine.at[r.place]), compare: (a, b) => machine.at[a.place] - machine.at[b.place]},
      {title: "backup", text: (r) => keepway.name(machine, r.place), cell: (r) => called(machine, r.place), compare: (a, b) => a.place - b.place, number: true},
      {title: "old", text: (r) => text(r.before, r.before ? "gone" : "none"), compare: byValue((r) => r.before), number: "mixed"},
      {title: "new", text: (r) => text(r.value, "gone"), compare: byValue((r) => r.value), number: "mixed"},
      {title: "difference", text: (r) => r.step, compare: (a, b) => Math.abs(Number(a.step || 0)) - Math.abs(Number(b.step || 0)), number: true},
      {title: "by", text: (r) => keepway.by(machine, r.place)},
    ]});
  const all = table(rows, "Each change");
  const few = 5;
  return rows.filter((r) => r.step).length > few ? keepway.largerThan(rows, all, table) : all;
};

// The same table with a field above it, for the changes larger than an amount.
keepway.largerThan = (rows, all, table) => {
  const {el, isNumber} = keepway;
  const place = el("div", {}, all);
  const input = el("input", {id: "larger", inputmode: "decimal", size: "8"});
  const said = el("p.reason", {role: "status"});
  return [el("form.choose", {onsubmit: (e) => {
    e.preventDefault();
    const least = input.value.trim().replace(",", ".");
    said.textContent = least === "" || isNumber(least) ? "" : "Write a number, such as 0.02.";
    if (said.textContent) return;
    place.replaceChildren(least === "" ? all : table(rows.filter((r) => r.step && Math.abs(Number(r.step)) > Math.abs(Number(least))), "Changes larger than " + least));
  }}, el("label", {for: "larger"}, "Only changes larger than "), input, " ", el("button", {type: "submit"}, "Show"), said), place];
};

keepway.views.item = async (machine, ...parts) => {
  const {el, isNumber} = keepway;
  const address = parts.join("/");
  const found = await keepway.item(machine, address);
  if (!found) return [el("h1", {}, address), el("p", {}, "No backup here has such an item.")];
  const story = keepway.story(machine, found.versions);
  const shown = (h) => h.text === h.value ? h.value + (found.unit ? " " + found.unit : "") : h.text;
  const out = [el("h1", {}, found.item.n || address)];
  if (found.item.n) out.push(el("p.address", {}, address));
  out.push(keepway.opening(machine, story, shown));
  out.push(...keepway.acts.item(machine, address, found.item));
  if (found.versions.some((v) => v[1] !== null && isNumber(v[1])) && !found.kind) {
    const limits = [found.min !== undefined ? "least " + found.min : "", found.max !== undefined ? "most " + found.max : ""].filter(Boolean).join(", ");
    const drift = (await keepway.load("drifts")).find((d) => d.a === address);
    out.push(drift ? el("p", {}, keepway.driftWords(drift)) : "", keepway.trend(machine, address, found), el("p.quiet", {}, (limits ? "Limits by the namebook: " + limits + "; drawn where the values come near. " : "") +
      "Shaded: missing backups. Diamonds: doubtful backups, at the edge where their value is off the scale. Drag over the chart to look closer, double-click for the whole; the arrow keys go from backup to backup."));
  }
  out.push(el("h2", {}, "Changes"), story.held.length > 0 ? keepway.changesTable(machine, address, story.held) : el("p", {}, "No good backup has it."));
  return out;
};
