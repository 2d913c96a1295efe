// The machine as it stood at a backup, and any two backups beside each other: from the versions of every item.
(() => {
  const {el, link, load, count, worth, worthOf} = keepway;

  const placeOf = (machine, number) => machine.number.findIndex((n) => String(n) === number);

  // A place for "#7", "7", a trial's "warm-up #2", a mark, or a day: the last backup of that day or before. -1 for none.
  keepway.placeNamed = (machine, text) => {
    const wanted = text.trim();
    const mark = machine.marks.find((m) => m.name === wanted);
    if (mark) return mark.backup;
    const place = placeOf(machine, wanted.replace(/^#\s*/, ""));
    if (place >= 0) return place;
    const span = keepway.days(wanted, machine);
    let last = -1;
    if (span) {
      machine.at.forEach((at, i) => {
        if (at < span[1] && !keepway.isWithdrawn(machine, i) && !keepway.isMisdated(machine, i) && (last < 0 || at >= machine.at[last])) last = i;
      });
    }
    return last;
  };

  // Every version of every item of a group: [{item, versions: [[place, value, text]], unit}]; a program's value is the
  // number of its text.
  const histories = async (group) => {
    const {items} = await load("items-" + group);
    const isProgram = (item) => group === "programs" && !item.k.startsWith("unread/");
    const fileOf = (item) => (isProgram(item) ? "programs-" : "history-") + item.h;
    const names = [...new Set(items.filter((i) => i.h !== undefined).map(fileOf))];
    const files = new Map(await Promise.all(names.map(async (name) => [name, await load(name)])));
    return items.map((item) => {
      if (item.h === undefined) return {item, versions: [[item.s, item.r === undefined ? item.v : item.r, item.v, item.doubtful]]};
      const found = files.get(fileOf(item))[isProgram(item) ? item.k : group + "/" + item.k];
      return {item, unit: found.unit, texts: found.texts, versions: found.v.map((v) => [v[0], v[1], v[3] === undefined || v[3] === null ? v[1] : v[3], v[2]])};
    });
  };

  // What an item was at a place: {value, text, since}, or null. Since when by good backups, unless it is doubtful itself:
  // a memory that was lost and put back in between is passed over.
  const at = (history, place) => {
    let now = -1;
    while (now + 1 < history.versions.length && history.versions[now + 1][0] <= place) ++now;
    if (now < 0 || history.versions[now][1] === null) return null;
    const [, value, text, isDoubtful] = history.versions[now];
    let [since] = history.versions[now];
    for (let i = now - 1; !isDoubtful && i >= 0 && (history.versions[i][3] || history.versions[i][1] === value); --i) {
      if (history.versions[i][1] === value && !history.versions[i][3]) since = history.versions[i][0];
    }
    return {value, since, isPlain: text === value, text: history.texts ? lines(history.texts[value]) : text + (history.unit && text === value ? " " + history.unit : "")};
  };
  const lines = (text) => count(text.split("\n").length - 1, "block", "blocks");

  const called = (machine, place) => [keepway.called(machine, place), " of " + keepway.dateOf(machine, place) + ", ",
    worth(worthOf(machine.worth[place]), machine.worth[place] !== machine.worth[place].toLowerCase()), keepway.isWithdrawn(machine, place) ? ", withdrawn" : ""];

  // A field for a backup; `go` is given its place.
  let fields = 0;
  const chooser = (machine, title, value, go) => {
    const id = "backup-" + ++fields;
    const input = el("input", {id, value, required: true, size: "16", placeholder: "#7, a mark or a day"});
    const said = el("p.reason", {role: "status"});
    return el("form.choose", {onsubmit: (e) => {
      e.preventDefault();
      const place = keepway.placeNamed(machine, input.value);
      said.textContent = place < 0 ? "There is no such backup, mark or day before which one was taken." : "";
      if (place >= 0) go(place);
    }}, el("label", {for: id}, title + " "), input, " ", el("button", {type: "submit"}, "Show"), said);
  };

  // Beside a backup: the two pages that start from it.
  keepway.fromBackup = (machine, place) => {
    const number = machine.number[place];
    return el("div.from-here", {}, el("p", {}, link("The machine as it stood", "stood", number)),
      chooser(machine, "Compare with", place > 0 ? keepway.name(machine, place - 1) : "", (other) => {
        location.hash = keepway.route("between", machine.number[Math.min(other, place)], machine.number[Math.max(other, place)]);
      }));
  };

  const itemLink = (group, key) => group === "programs" && !key.startsWith("unread/") ? link(key, "program", key) : link(key, "item", group, ...key.split("/"));

  keepway.views.stood = async (machine, number, group) => {
    const place = placeOf(machine, number || "");
    if (place < 0) return [el("h1", {}, "No backup " + number)];
    const chosen = machine.groups.some((g) => g.name === group) ? group : "offsets";
    const shown = (await histories(chosen)).map((h) => [h, at(h, place)]).filter(([, was]) => was !== null);
    return [el("h1", {}, "As it stood at " + keepway.name(machine, place)),
      el("p.quiet", {}, called(machine, place), "."),
      keepway.isGood(machine, place) ? "" : el("p.reason", {}, keepway.name(machine, place) + keepway.notGood(machine, place)),
      chooser(machine, "Go to", keepway.name(machine, place), (other) => { location.hash = keepway.route("stood", machine.number[other], chosen); }),
      el("p.groups", {}, machine.groups.map(({name}, i) => [i > 0 ? " \u00b7 " : "", name === chosen ? el("strong", {}, name + " " + shown.length.toLocaleString("en"))
        : link(name, "stood", number, name)])),
      keepway.table({caption: chosen + " of " + keepway.name(machine, place), rows: shown, size: 200, filter: "Find an item, a name, a value",
        columns: [
          {title: "item", text: ([h]) => h.item.k, cell: ([h, was]) => chosen === "programs" ? link(h.item.k, "program", h.item.k, machine.number[was.since]) : itemLink(chosen, h.item.k)},
          {title: "name", text: ([h]) => h.item.n || ""},
          {title: "value", text: ([, was]) => was.text, number: "mixed",
            compare: (a, b) => chosen === "programs" ? keepway.natural(a[1].text, b[1].text) : keepway.byValue(String(a[1].value), String(b[1].value))},
          {title: "since", class: "date", text: ([, was]) => (was.since === 0 ? "first backup, " : "") + keepway.dayAt(machine, was.since), compare: (a, b) => machine.at[a[1].since] - machine.at[b[1].since]},
        ]})];
  };

  const differences = async (group, a, b) => (await histories(group)).map((h) => ({group, key: h.item.k, name: h.item.n || "", living: h.item.living, texts: h.texts, before: at(h, a), after: at(h, b)}))
    .filter(({before, after}) => (before && before.value) !== (after && after.value));

  keepway.views.between = async (machine, first, second) => {
    const [a, b] = [placeOf(machine, first || ""), placeOf(machine, second || "")];
    if (a < 0 || b < 0) return [el("h1", {}, "No backup " + (a < 0 ? first : second))];
    const title = keepway.name(machine, a) + " and " + keepway.name(machine, b);
    const to = (x, y) => { location.hash = keepway.route("between", machine.number[x], machine.number[y]); };
    const all = (await Promise.all(machine.groups.map(({name}) => differences(name, a, b)))).flat();
    const values = all.filter((d) => d.group !== "programs" && !d.living);
    const living = all.filter((d) => d.living);
    const programs = all.filter((d) => d.group === "programs");
    const step = (d) => d.before && d.after && d.before.isPlain && d.after.isPlain ? keepway.difference(String(d.before.value), String(d.after.value)) : "";
    const out = [el("h1", {}, "Between " + title),
      el("ul", {}, el("li", {}, called(machine, a)), el("li", {}, called(machine, b))),
      el("div.from-here", {}, chooser(machine, "From", keepway.name(machine, a), (x) => to(x, b)), chooser(machine, "to", keepway.name(machine, b), (y) => to(a, y)))];
    for (const place of [a, b]) {
      if (!keepway.isGood(machine, place)) out.push(el("p.reason", {}, keepway.name(machine, place) + keepway.notGood(machine, place)));
    }
    if (all.length === 0) out.push(el("p", {}, "Nothing that is read differs."));
    if (values.length > 0) {
      out.push(keepway.table({caption: count(values.length, "value differs", "values differ"), rows: values, size: 200, filter: "Find an item, a name, a value",
        columns: [
          {title: "item", text: (d) => d.group + "/" + d.key, cell: (d) => link(d.group + "/" + d.key, "item", d.group, ...d.key.split("/"))},
          {title: "name", text: (d) => d.name},
          {title: keepway.name(machine, a), text: (d) => d.before ? d.before.text : "none", number: "mixed"},
          {title: keepway.name(machine, b), text: (d) => d.after ? d.after.text : "gone", number: "mixed"},
          {title: "difference", text: step, compare: (x, y) => Math.abs(Number(step(x) || 0)) - Math.abs(Number(step(y) || 0)), number: true},
        ]}));
    }
    if (programs.length > 0) {
      out.push(el("h2", {}, count(programs.length, "program differs", "programs differ")), el("ul", {}, programs.map((p) => el("li", {}, itemLink("programs", p.key), " ",
        !p.before ? "added" : !p.after ? "gone" : link("side by side", "compare", p.key, machine.number[p.before.since], p.key, machine.number[p.after.since])))));
    }
    if (living.length > 0) out.push(el("p.note", {}, "Left out: " + count(living.length, "item", "items") + " of the kind that changes by itself, such as a counter."));
    return out;
  };
})();
