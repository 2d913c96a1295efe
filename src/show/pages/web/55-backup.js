// One backup: what it is worth, and what it changed.
keepway.views.backup = async (machine, number) => {
  const {el, link, time, count, worth} = keepway;
  const place = machine.number.findIndex((n) => String(n) === number);
  if (place < 0) return [el("h1", {}, "No backup " + number)];
  const [b] = await keepway.backups(machine, [place]);
  const out = [el("h1", {}, "Backup ", b.withdrawn ? el("s", {}, b.name) : b.name)];
  const beside = (at, title) => at >= 0 && at < machine.number.length ? link(title + " " + keepway.name(machine, at), "backup", machine.number[at]) : "";
  out.push(el("p.beside", {}, beside(place - 1, "\u2190"), " ", beside(place + 1, "\u2192")));
  const fact = (title, ...what) => el("div.fact", {}, el("dt", {}, title), el("dd", {}, what));
  out.push(el("dl.facts", {},
    fact("taken", time(machine.at[place])), fact("by", b.by), fact("verdict", worth(b.verdict, b.accepted)),
    b.marks.length > 0 ? fact("marks", b.marks.map((m) => el("span.mark", {}, m))) : "",
    fact("files", b.counts.files.toLocaleString("en")), fact("from", b.source || "\u2013"),
    b.confirms ? fact("restore", b.confirmed ? "confirmed: everything arrived" : "not everything arrived") : ""));
  if (b.withdrawn) out.push(el("p.notice", {}, keepway.withdrawal(b) + ". It is not to be used."));
  if (b.corrected) out.push(el("p.note", {}, keepway.correction(b)));
  if (b.note) out.push(el("p.note", {}, b.note));
  if (b.reasons.length > 0) out.push(el("h2", {}, "Why it is " + b.verdict), el("ul", {}, b.reasons.map((r, i) => el("li", {}, keepway.reasonWords(r), i === 0 && b.remedy ? el("p.note", {}, "do: " + b.remedy) : ""))));
  out.push(...keepway.acts.backup(machine, b));
  out.push(keepway.fromBackup(machine, place));
  out.push(el("h2", {}, "What it changed"), el("p.gist", {}, b.gist));
  for (const group of b.gone) out.push(el("p.reason", {}, "This backup holds no " + group + "; the one before did."));
  for (const group of b.come) out.push(el("p.reason", {}, "This backup holds " + group + " again; the one before did not."));
  const groups = [...new Set(b.values.map((v) => v.address.split("/")[0]))];
  for (const group of groups) {
    const rows = b.values.filter((v) => v.address.split("/")[0] === group);
    out.push(el("h3", {}, group), keepway.table({
      caption: count(rows.length, "value", "values") + " of " + group, rows, size: 100, filter: rows.length > 10 ? "Find in these" : undefined,
      columns: [
        {title: "item", text: (r) => r.address, cell: (r) => link(r.address, "item", ...r.address.split("/"))},
        {title: "name", text: (r) => r.name},
        {title: "before", text: (r) => r.before_text, cell: (r) => r.before === null ? el("em", {}, "none") : r.before_text, number: "mixed"},
        {title: "after", text: (r) => r.after_text, cell: (r) => r.after === null ? el("em", {}, "gone") : r.after_text, number: "mixed"},
        {title: "difference", text: (r) => r.delta || "", compare: (a, c) => Math.abs(Number(a.delta || 0)) - Math.abs(Number(c.delta || 0)), number: true, cell: keepway.delta},
        ...keepway.notes(rows, (r) => [keepway.bitNotes(r), (r.warnings || []).map((w) => el("p.reason", {}, w))]),
      ]}));
  }
  if (b.more > 0) out.push(el("p", {}, "And " + count(b.more, "value", "values") + " more: keepway changes " + machine.machine + " " + b.commit.slice(0, 12) + "~ " + b.commit.slice(0, 12)));
  if (b.programs.length > 0) out.push(el("h3", {}, "programs"));
  for (const p of b.programs) {
    const said = keepway.programChange(p, p.blocks.length + p.more);
    out.push(el("section.program", {}, el("h4", {}, link(p.program, "program", p.program), " " + said),
      p.blocks.map((block) => el("div.blocks", {},
        el("p.place", {}, "block " + (block.after.length > 0 ? block.after_line : block.before_line)),
        block.before.map((line) => el("pre.minus", {}, el("span.sign", {}, "\u2212 "), keepway.code.block(line))),
        block.after.map((line) => el("pre.plus", {}, el("span.sign", {}, "+ "), keepway.code.block(line))),
        block.meaning.map((m) => el("p.note", {}, "= " + m)))),
      p.more > 0 ? el("p", {}, "And " + count(p.more, "place", "places") + " more: compare its versions.") : ""));
  }
  if (place > 0 && b.values.length + b.programs.length + b.gone.length + b.come.length === 0) out.push(el("p", {}, "No value that is read changed."));
  out.push(el("details", {}, el("summary", {}, "Digest and commit"), el("p", {}, "SHA-256 of the originals: ", el("code", {}, b.digest)), el("p", {}, "commit: ", el("code", {}, b.commit))));
  return out;
};

// "+0.5 (+12.7 mm)", and beside it a column of what is to be known of some of the rows.
keepway.delta = (r) => r.delta ? r.delta + (r.other_delta ? " (" + r.other_delta + " " + r.other_unit + ")" : "") : "";
keepway.notes = (rows, of) => rows.some((r) => of(r).flat().length > 0) ? [{title: "to know", class: "to-know", cell: of}] : [];
keepway.bitNotes = (r) => (r.bits || []).map((bit) => keepway.el("p.note", {}, "bit " + bit.bit + (bit.name ? " (" + bit.name + ")" : "") + ": " + (bit.before ? 1 : 0) + " \u2192 " + (bit.after ? 1 : 0)));
keepway.otherNumbers = (p) => p.renumbered_blocks ? "; beside that, " + keepway.count(p.renumbered_blocks, "block has another number", "blocks have other numbers") : "";
keepway.programChange = (p, places) => ({added: "added", removed: "removed", comments: "comments changed, no motion", renumbered: "block numbers changed, nothing else",
  renamed: "is " + (p.before_name || "") + " under another name", changed: "changed in " + keepway.count(places, "place", "places")})[p.change] + (p.change === "renumbered" ? "" : keepway.otherNumbers(p));
