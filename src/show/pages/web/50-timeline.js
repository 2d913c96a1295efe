// The machine's backups over time: how much changed, which were good, where backups are missing.
keepway.views.timeline = async (machine) => {
  const {el, time, day, span, count, link, load, route, worth} = keepway;
  const total = machine.at.length;
  if (total === 0) return [el("h1", {}, machine.title), el("p", {}, "No backups yet.")];
  const letters = [...machine.worth];
  const called = (place) => [link(keepway.name(machine, place), "backup", machine.number[place]), " of " + keepway.dayAt(machine, place)];
  const open = machine.gaps.find((gap) => gap.to === machine.made);
  const trial = machine.trials.find((t) => t.in_progress);

  const fact = (title, ...what) => el("div.fact", {}, el("dt", {}, title), el("dd", {}, what));
  const facts = el("dl.facts", {},
    fact("newest backup", machine.newest === null ? "none" : [called(machine.newest), " ",
         worth(keepway.worthOf(letters[machine.newest]), letters[machine.newest] < "a")]),
    fact("newest good one", machine.good === null ? "none yet" : called(machine.good)),
    fact("backups", total.toLocaleString("en")),
    machine.every_days ? fact("due every", count(machine.every_days, "day", "days"))
      : fact("usually every", machine.usual > 0 ? span(machine.usual) : "not known yet"),
    fact("missing", machine.gaps.length === 0 ? "none" :
         count(machine.gaps.reduce((sum, gap) => sum + gap.missing, 0), "backup", "backups") + " in " + count(machine.gaps.length, "gap", "gaps")));

  const points = machine.at.map((at, i) => [at, i === 0 ? null : machine.changes[i], i, null]).filter((p) => !keepway.isMisdated(machine, p[2])).sort((a, b) => a[0] - b[0]);
  const chart = keepway.chart.figure(machine, {
    label: "Items changed by each backup, over time; missing backups are shaded",
    title: "Items changed by each backup", points, bars: true, from0: true, height: 180,
    tell: (p) => p[2] === 0 ? "first backup" : count(machine.changes[p[2]], "item changed", "items changed") + ", " + keepway.worthOf(letters[p[2]]),
    onpick: (place) => { location.hash = route("backup", machine.number[place]); },
  });

  const list = el("ol.timeline", {});
  const pager = el("div.pager");
  const note = el("p.quiet", {role: "status"});
  const gapAfter = new Map(machine.gaps.map((gap) => [gap.from, gap]));
  const size = 100;
  const only = {good: true, doubtful: true, refused: true, ...keepway.recall("only")};
  let page = keepway.recall("page") || 0;

  // Newest first: by date, and of equal dates what came in last.
  const byDate = machine.at.map((at, i) => i).sort((a, b) => machine.at[b] - machine.at[a] || b - a);

  async function draw() {
    const shown = [];
    for (const i of byDate) if (only[keepway.worthOf(letters[i])]) shown.push(i);
    const pages = Math.max(1, Math.ceil(shown.length / size));
    page = Math.min(page, pages - 1);
    const places = shown.slice(page * size, (page + 1) * size);
    const details = await keepway.backups(machine, places);
    const rows = [];
    places.forEach((place, index) => {
      const b = details[index];
      const gap = gapAfter.get(machine.at[place]);
      if (gap && gap.to !== machine.made) rows.push(gapRow(gap));
      for (const t of machine.trials) if (t.base_place === place) rows.push(trialRow(t));
      rows.push(el("li.backup." + b.verdict + (b.withdrawn ? ".withdrawn" : ""), {},
        el("div.when", {}, link(b.withdrawn ? el("s", {}, b.name) : b.name, "backup", b.key), " ", el("time", {}, time(machine.at[place]))),
        el("div.what", {}, el("p.gist", {}, b.gist),
          b.marks.map((mark) => el("span.mark", {}, mark)), b.kept ? el("span.mark", {}, "trial kept: " + b.kept) : "",
          b.withdrawn ? el("p.reason", {}, keepway.withdrawal(b)) : "", b.corrected ? el("p.note", {}, keepway.correction(b)) : "",
          b.note ? el("p.note", {}, b.note) : "", b.reasons.map((reason) => el("p.reason", {}, keepway.reasonWords(reason)))),
        el("div.who", {}, worth(b.verdict, b.accepted), el("span", {}, b.by))));
    });
    if (page === 0 && open) rows.unshift(gapRow(open));
    list.replaceChildren(...rows);
    note.textContent = shown.length === total ? count(total, "backup", "backups") + ", newest first"
      : shown.length.toLocaleString("en") + " of " + count(total, "backup", "backups");
    const go = (title, to, off) => el("button", {type: "button", disabled: off, onclick: () => {
      page = to;
      keepway.remember("page", page);
      draw().then(() => list.scrollIntoView({block: "start"}));
    }}, title);
    pager.replaceChildren();
    if (pages > 1) pager.append(go("Newer", page - 1, page === 0), el("span", {}, "page " + (page + 1) + " of " + pages), go("Older", page + 1, page === pages - 1));
  }
  const gapRow = (gap) => el("li.gap", {}, gap.to === machine.made
    ? "No backup since " + day(gap.from) + ": " + count(gap.missing, "backup is", "backups are") + " missing"
    : count(gap.missing, "backup is", "backups are") + " missing between " + day(gap.from) + " and " + day(gap.to));
  const trialRow = (t) => el("li.trial", {}, el("strong", {}, "Trial " + t.name), " begun " + day(t.begun) + " by " + t.by + " from " + t.base + ", " +
    count(t.backups, "backup", "backups") + (t.in_progress ? ", in progress" : ", paused"), t.note ? el("p.note", {}, t.note) : "");

  const choices = el("fieldset.choices", {}, el("legend", {}, "Show"), Object.keys(only).map((name) =>
    el("label", {}, el("input", {type: "checkbox", checked: only[name], onchange: (e) => {
      only[name] = e.target.checked;
      page = 0;
      keepway.remember("only", only);
      keepway.remember("page", page);
      draw();
    }}), " " + name)));
  await draw();
  return [el("h1", {}, machine.title), trial ? el("p.notice", {}, "A trial is in progress: " + trial.name + ". This is its line: " + machine.line + ".") : "",
          facts, chart, keepway.calendar(machine), el("h2", {}, "Backups"), keepway.goToDate(machine), choices, note, list, pager];
};

keepway.withdrawal = (b) => "Withdrawn by " + b.withdrawn.by + " on " + keepway.dayOf(b.withdrawn.at) + ": " + b.withdrawn.why;
keepway.correction = (b) => "Corrected by " + b.corrected.by + " on " + keepway.dayOf(b.corrected.at) + "; stored as of " +
  keepway.timeOf(b.corrected.stored_at) + " by " + b.corrected.stored_by;

// Details of backups by place, from as few files as hold them.
keepway.backups = async (machine, places) => {
  const first = machine.chunks.backups;
  const chunkOf = (place) => {
    let low = 0, high = first.length - 1;
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if (first[middle] <= place) low = middle;
      else high = middle - 1;
    }
    return low;
  };
  return Promise.all(places.map(async (place) => {
    const chunk = await keepway.load("backups-" + chunkOf(place));
    return chunk.backups[place - chunk.first];
  }));
};
