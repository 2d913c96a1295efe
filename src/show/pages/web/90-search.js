// A text in addresses, names and values of every group, in marks, notes and the text of programs.
keepway.views.search = async (machine, wanted = "") => {
  const {el, load, link, count} = keepway;
  const words = wanted.toLowerCase().split(/\s+/).filter(Boolean);
  const out = [el("h1", {}, "Search"), el("p.quiet", {}, "for ", el("strong", {}, wanted))];
  if (words.length === 0) return out;
  const hit = (...texts) => {
    const all = texts.join("\u0001").toLowerCase();
    return words.every((w) => all.includes(w));
  };
  // Best match first: a word of its address or name, the beginning of one, a part, and last what is in its value alone.
  const tokens = (text) => text.toLowerCase().split(/[^\p{L}\p{N}.]+/u);
  const distance = (i) => {
    const named = i.a + " " + (i.n || "");
    const own = tokens(named);
    return words.reduce((sum, w) => sum + (own.includes(w) ? 0 : own.some((t) => t.startsWith(w)) ? 1 : named.toLowerCase().includes(w) ? 2 : 3), 0);
  };
  const groups = await Promise.all(machine.groups.map((g) => load("items-" + g.name)));
  // Before all of these, what is called so.
  const calls = keepway.calls(wanted);
  const ranked = groups.flatMap(({group, items}) => items.map((i) => ({...i, a: group + "/" + i.k, program: group === "programs" && !i.k.startsWith("unread/"), isCalled: calls(group, i.k)})))
    .filter((i) => i.isCalled || hit(i.a, i.n || "", i.v)).map((i) => [i.isCalled ? -1 : distance(i), i]).sort(([a], [b]) => a - b);
  const found = ranked.map(([, i]) => i);
  const named = await keepway.find(machine, wanted, found.some((i) => i.isCalled));
  out.push(named);
  if (found.length > 0) out.push(keepway.table({caption: count(found.length, "item", "items"), rows: found, size: 100, columns: [
    {title: "item", text: (r) => r.a, cell: (r) => r.program ? link(r.a, "program", r.k) : link(r.a, "item", ...r.a.split("/"))},
    {title: "name", text: (r) => r.n || ""},
    {title: "value", text: (r) => r.v, number: "mixed"},
  ]}));
  const marks = machine.marks.filter((m) => hit(m.name));
  if (marks.length > 0) out.push(el("h2", {}, "Marks"), el("ul", {}, marks.map((m) => el("li", {}, link(m.name, "backup", machine.number[m.backup])))));
  // Notes and program texts lie in many files: those are read only when asked for.
  const deep = el("div");
  const look = el("button", {type: "button", onclick: async () => {
    look.disabled = true;
    const notes = [];
    for (let i = 0; i < machine.chunks.backups.length; ++i) {
      const chunk = await load("backups-" + i);
      for (const b of chunk.backups) if (hit(b.note, b.gist, b.by)) notes.push(b);
    }
    const programs = groups.find((g) => g.group === "programs").items.filter((i) => i.h !== undefined);
    const texts = [];
    for (const item of programs) {
      const p = await keepway.program(item.k);
      const last = p && p.v.length > 0 ? p.v[p.v.length - 1][1] : null;  // a text that came back is not the last of the texts
      if (last !== null && hit(p.texts[last])) texts.push(item.k);
    }
    look.remove();
    deep.append(el("h2", {}, "Notes"), notes.length === 0 ? el("p", {}, "None.") : el("ul", {}, notes.slice(-500).reverse().map((b) => el("li", {}, link(b.name, "backup", b.key), " " + (b.note || b.gist)))),
                el("h2", {}, "Program texts"), texts.length === 0 ? el("p", {}, "None.") : el("ul", {}, texts.map((name) => el("li", {}, link(name, "program", name)))));
  }}, "Look in notes and program texts too");
  if (found.length + marks.length + named.length === 0) out.push(el("p", {}, "No item and no mark has that."));
  out.push(el("p", {}, look), deep);
  return out;
};
