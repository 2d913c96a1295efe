// Programs: the list, one with its versions, and two side by side.
keepway.views.programs = async (machine) => {
  const {el, link, load} = keepway;
  const items = (await load("items-programs")).items.map(keepway.held);
  return [el("h1", {}, "programs"), keepway.asOf(machine), keepway.table({
    caption: "Every program, when it last changed and by whom", rows: items, filter: "Find a program, a comment, a person",
    columns: [
      {title: "program", text: (r) => r.k, cell: (r) => r.k.startsWith("unread/") ? link(r.k, "item", "programs", ...r.k.split("/")) : link(r.k, "program", r.k)},
      {title: "name", text: (r) => r.n || ""},
      {title: "blocks", text: (r) => r.v, cell: (r) => r.gone ? el("s", {}, r.v) : r.v, number: true},
      {title: "since", class: "date", text: (r) => keepway.dayAt(machine, r.s) + (r.gone ? " gone" : ""), compare: (a, b) => machine.at[a.s] - machine.at[b.s]},
      {title: "backup", text: (r) => keepway.name(machine, r.s), cell: (r) => link(keepway.name(machine, r.s), "backup", machine.number[r.s]), compare: (a, b) => a.s - b.s, number: true},
      {title: "by", text: (r) => keepway.by(machine, r.s)},
      {title: "changes", text: (r) => r.c, compare: (a, b) => a.c - b.c, number: true},
    ]}), items.length > 1 ? el("p", {}, el("a", {href: keepway.route("compare")}, "Compare two programs side by side")) : ""];
};

keepway.program = async (name) => {
  const {items} = await keepway.load("items-programs");
  const item = items.find((i) => i.k === name);
  if (!item || item.h === undefined) return null;
  return {item, ...(await keepway.load("programs-" + item.h))[name]};
};

keepway.views.program = async (machine, name, number) => {
  const {el, link} = keepway;
  const found = await keepway.program(name);
  if (!found) return [el("h1", {}, name), el("p", {}, "No backup here has such a program.")];
  const there = found.v.filter((v) => v[1] !== null);
  // By good backups where there are any: a memory that was lost and put back made no version.
  const story = keepway.story(machine, found.v.map(([place, text, isDoubtful]) => [place, text === null ? null : "text " + text, isDoubtful]));
  const held = there.filter((v) => story.held.some((h) => h.place === v[0]));
  const known = held.length > 0 ? held : there;
  const version = there.find((v) => String(machine.number[v[0]]) === number) || known.findLast((v) => machine.shown === null || v[0] <= machine.shown) || known[known.length - 1];
  const out = [el("h1", {}, name + (found.item.n ? " (" + found.item.n + ")" : "")),
    el("p.now", {}, found.item.gone ? "Gone from the machine; this is how it last was. " : "", "As of backup ",
       link(keepway.name(machine, version[0]), "backup", machine.number[version[0]]), " (" + keepway.dayAt(machine, version[0]) + ")")];
  if (story.held.length > 1) {
    out.push(el("details", {open: true}, el("summary", {}, "Its " + story.held.length + " versions"), el("ol.versions", {}, story.held.map((h, i) => {
      const n = machine.number[h.place];
      const before = story.held.slice(0, i).reverse().find((w) => w.value !== null);
      return el("li", {}, h.value === null ? [keepway.called(machine, h.place), ": gone"] : [link(keepway.name(machine, h.place), "program", name, n), " " + keepway.dayAt(machine, h.place) + " ",
        before ? link("compare with " + keepway.name(machine, before.place), "compare", name, machine.number[before.place], name, n) : "first seen"]);
    }).reverse())));
  }
  if (story.doubtful.length > 0) out.push(el("ul.folded", {}, story.doubtful.map((s) => el("li", {}, el("span.reason", {}, "? "), keepway.stretch(machine, s), " (", keepway.called(machine, s.place), ")")).reverse()));
  out.push(el("p", {}, link("Compare with another program", "compare", name, machine.number[version[0]])));
  const normal = found.texts[version[1]];
  const received = found.received[version[1]];
  if (received === null || received === normal) {
    out.push(keepway.code.listing(normal, "Program " + name));
  } else {
    out.push(keepway.code.listing(received, "Program " + name),
      el("details", {}, el("summary", {}, "Its normal form, by which programs are compared"),
        keepway.code.listing(normal, "Normal form of program " + name)));
  }
  return out;
};

keepway.views.compare = async (machine, a, an, b, bn) => {
  const {el, route} = keepway;
  const {items} = await keepway.load("items-programs");
  const names = items.map((i) => i.k).filter((k) => !k.startsWith("unread/"));
  const sides = [];
  const chooser = async (title, name, number) => {
    const side = {name: names.includes(name) ? name : names[0], number};
    const versions = el("select", {"aria-label": title + ": version"});
    const fill = async () => {
      side.found = await keepway.program(side.name);
      side.held = side.found ? side.found.v.filter((v) => v[1] !== null) : [];
      versions.replaceChildren(...side.held.map((v) => el("option", {value: machine.number[v[0]]}, keepway.name(machine, v[0]) + " " + keepway.dayAt(machine, v[0]))).reverse());
      if (side.held.some((v) => String(machine.number[v[0]]) === side.number)) versions.value = side.number;
      side.number = versions.value;
    };
    const name_ = el("select", {"aria-label": title + ": program", onchange: async (e) => {
      side.name = e.target.value;
      side.number = undefined;
      await fill();
      go();
    }}, names.map((n) => el("option", {value: n}, n)));
    versions.addEventListener("change", () => {
      side.number = versions.value;
      go();
    });
    name_.value = side.name;
    await fill();
    sides.push(side);
    return el("div.side", {}, el("span.quiet", {}, title + " "), name_, " ", versions);
  };
  const go = () => { location.hash = route("compare", sides[0].name, sides[0].number, sides[1].name, sides[1].number); };
  if (names.length === 0) return [el("h1", {}, "Compare"), el("p", {}, "No programs here.")];
  const left = await chooser("Left", a, an);
  const right = await chooser("Right", b || a, bn);
  const text = (side) => {
    const version = side.held.find((v) => String(machine.number[v[0]]) === side.number);
    return version ? side.found.texts[version[1]] : "";
  };
  return [el("h1", {}, "Compare"), el("div.choose", {}, left, right), keepway.sideBySide(text(sides[0]), text(sides[1]))];
};

keepway.sideBySide = (a, b) => {
  const {el, code, count} = keepway;
  const [one, other] = [code.lines(a), code.lines(b)];
  // N words do not count, as in `keepway changes`.
  const bare = (line) => line.replace(/^(\/\s*)?N\d+\s*/i, "$1");
  const rows = keepway.align.rows(one.map(bare), other.map(bare));
  const body = el("tbody");
  const cell = (lines, at, cls) => [el("td.at", {}, at < 0 ? "" : String(at + 1)), el("td." + cls, {}, at < 0 ? "" : el("code", {}, code.block(lines[at])))];
  const draw = (row) => {
    const cls = row.same ? "same" : row.a < 0 ? "only-right" : row.b < 0 ? "only-left" : "exchanged";
    const sign = row.same ? "" : row.a < 0 ? "+" : row.b < 0 ? "\u2212" : "\u2260";
    return el("tr." + cls, {}, cell(one, row.a, "left"), el("td.sign", {}, sign), cell(other, row.b, "right"));
  };
  const near = 3, most = 4000;
  let drawn = 0;
  for (let i = 0; i < rows.length;) {
    let j = i;
    while (j < rows.length && rows[j].same === rows[i].same) ++j;
    const stretch = rows.slice(i, j);
    const [head, tail] = [i === 0 ? 0 : near, j === rows.length ? 0 : near];
    const hidden = rows[i].same && stretch.length > head + tail + 2;
    if (drawn > most) {
      body.append(el("tr", {}, el("td", {colspan: 5}, "And more: these two have little in common.")));
      break;
    }
    if (hidden) {
      const middle = stretch.slice(head, stretch.length - tail);
      const fold = el("tr.fold", {}, el("td", {colspan: 5}, el("button", {type: "button", onclick: () => {
        const next = middle.splice(0, 2000).map(draw);
        fold.before(...next);
        if (middle.length === 0) fold.remove();
      }}, "Show " + count(middle.length, "equal block", "equal blocks"))));
      body.append(...stretch.slice(0, head).map(draw), fold, ...stretch.slice(stretch.length - tail).map(draw));
      drawn += head + tail;
    } else {
      body.append(...stretch.slice(0, most).map(draw));
      drawn += Math.min(stretch.length, most);
    }
    i = j;
  }
  const places = rows.filter((r, i) => !r.same && (i === 0 || rows[i - 1].same)).length;
  return el("div", {}, el("p.quiet", {role: "status"}, places === 0 ? "No differences." : count(places, "place differs", "places differ") + ". Block numbers (N) do not count."),
    el("div.scroll", {tabindex: "0", role: "region", "aria-label": "Two programs side by side"},
       el("table.compare", {}, el("caption", {}, "Left and right, block by block"),
          el("colgroup", {}, ["at", "text", "differs", "at", "text"].map((c) => el("col." + c))),
          el("thead", {}, el("tr", {}, el("th", {scope: "col"}, "block"), el("th", {scope: "col"}, "left"), el("th", {scope: "col"}, "differs"), el("th", {scope: "col"}, "block"), el("th", {scope: "col"}, "right"))), body)));
};
