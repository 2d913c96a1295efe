// The first page: is the newest backup good and how old, what is due, what changed, what creeps, what is set.
keepway.views.glance = async (machine) => {
  const {el, date, age, called, worth, worthOf, doubt, count} = keepway;
  if (machine.at.length === 0) return [el("h1", {}, machine.title), ...keepway.acts.machine(machine), el("p", {}, "No backups yet.")];
  const now = machine.made;
  const facts = await keepway.load("glance");
  const offsets = (await keepway.load("items-offsets")).items.map(keepway.held);
  const newest = keepway.newest(machine);
  const good = machine.good;
  const of = (place) => [called(machine, place), " of " + date(machine.at[place]) + ", by " + keepway.by(machine, place)];
  const old = (place) => {
    const said = age(machine.at[place], now);
    return said === "today" ? "from today" : said + " old";
  };

  const head = [];
  const letter = machine.worth[newest];
  head.push(el("p.first", {}, "The newest backup is ", worth(worthOf(letter), letter !== letter.toLowerCase()), " and " + old(newest) + ": ", of(newest), "."));
  if (!keepway.isGood(machine, newest)) {
    const why = doubt(machine, newest);
    head.push(el("p.reason", {}, why.short + (why.reason ? ": " + why.reason : "")), why.remedy ? el("p.note", {}, "do: " + why.remedy) : "",
      el("p", {}, good === null ? "No backup is good yet." : ["The last good one is " + old(good) + ": ", of(good), "."]));
  }
  for (const t of machine.trials)
    head.push(el("p.notice", {}, "Trial " + t.name + (t.in_progress ? " is in progress" : " is paused") + ": begun " + date(t.begun) + " by " + t.by +
      (t.in_progress ? ". Intakes go to it, and these pages show its line." : "."), keepway.views.trial ? [" ", keepway.link("Compare, keep or drop it", "trial")] : ""));

  return [el("h1", {}, machine.title), ...keepway.acts.machine(machine), keepway.madeLongAgo(machine), head, el("ul.due", {}, keepway.dues(machine).map((due) =>
    el("li", {class: due.over ? "over" : null}, el("strong", {}, due.what + ": "), due.over ? el("span.refused.worth", {}, "OVERDUE ") : "", due.said))),
    el("div.pair", {},
      el("section", {}, el("h2", {}, "Last changes that matter"), keepway.matters(machine, facts.changes)),
      el("section", {}, el("h2", {}, "What drifts most"), facts.drifts.length === 0 ? el("p", {}, "Nothing clearly drifts.") :
        el("ul.plain", {}, facts.drifts.map((d) => el("li", {}, keepway.link(d.n || d.a, "item", ...d.a.split("/")), ": ", keepway.driftAmount(d), " a year",
          keepway.forecast(d) ? el("p.note", {}, keepway.forecast(d)) : ""))),
        el("p", {}, keepway.link("All trends", "trends")), el("h2.to-day", {}, "Go to a day"), keepway.goToDate(machine))),
    keepway.grids(machine, offsets), el("p.quiet", {}, count(machine.at.length, "backup", "backups") + " since " + date(keepway.firstDay(machine)) + ". Ages are as of " + keepway.time(now) + ".")];
};

// A report on a stick goes on saying "3 days old".
keepway.madeLongAgo = (machine) => {
  const days = Math.floor((Date.now() / 1000 - machine.made) / 86400);
  return days < 2 ? "" : keepway.el("p.notice", {}, "This report was made " + days + " days ago: what is due, and every age here, is as of then.");
};

// "due 7 Dec 2026, in 6 days", "since 23 Nov 2026, 7 days".
keepway.dueWords = (at, now) => {
  const {date, count} = keepway;
  const days = (seconds) => count(Math.max(1, Math.floor(Math.abs(seconds) / 86400)), "day", "days");
  return at <= now ? "since " + date(at) + ", " + days(now - at) : "due " + date(at) + ", in " + days(at - now);
};

keepway.dues = (machine) => {
  const {date, count, span} = keepway;
  const now = machine.made;
  const said = (at) => keepway.dueWords(at, now);
  const out = [];
  const good = machine.good;
  if (machine.every_days) {
    const at = good === null ? now : machine.at[good] + machine.every_days * 86400;
    out.push({what: "Backup", over: at <= now, said: said(at)});
  } else {
    const open = machine.gaps.find((gap) => gap.to === now);
    out.push({what: "Backup", over: false, said: (machine.usual > 0 ? "usually every " + span(machine.usual) : "no interval is set") +
      (open ? ", and " + count(open.missing, "backup is", "backups are") + " missing since " + date(open.from) : "")});
  }
  const battery = machine.battery;
  out.push(battery.due ? {what: "Memory battery", over: battery.due <= now, said: said(battery.due) + "; changed " + date(battery.changed)}
    : {what: "Memory battery", over: false, said: "no date recorded"});
  return out;
};

// "G54 origin X +0.5 in to -11.2706 in, caution: …"
keepway.changeWords = (e) => {
  const {el, link} = keepway;
  const bits = (e.bits || []).map((bit) => (bit.name || "bit " + bit.bit) + (bit.after ? " on" : " off")).join(", ");
  const said = bits ? bits : e.before === null ? "new, " + e.after_text : e.after === null ? "gone, was " + e.before_text
    : e.delta ? e.delta + (e.unit ? " " + e.unit : "") : e.before_text + " \u2192 " + e.after_text;
  return [link(e.name || e.address, "item", ...e.address.split("/")), " ", el("strong", {}, said),
    bits ? el("span.quiet", {}, " (" + e.before_text + " \u2192 " + e.after_text + ")") : e.delta ? el("span.quiet", {}, " to " + e.after_text) : "", (e.warnings || []).map((w) => el("span.reason", {}, ", caution: " + w))];
};

keepway.matters = (machine, changes) => {
  const {el, link, called, dateOf, count} = keepway;
  if (changes.length === 0) return el("p", {}, "Nothing has changed since the first backup.");
  const programs = {added: "added", removed: "removed", comments: "comments changed, no motion", renumbered: "renumbered, nothing else", renamed: "renamed"};
  const words = (e) => e.program !== undefined
    ? [link(e.program, "program", e.program), " " + (programs[e.change] || "changed in " + count(e.places, "place", "places"))] : keepway.changeWords(e);
  return el("ol.matters", {}, changes.map((c) => el("li", {}, el("p.quiet", {}, dateOf(machine, c.place) + ", ", called(machine, c.place), ", by " + keepway.by(machine, c.place)),
    el("ul.plain", {}, c.entries.map((e) => el("li", {}, words(e))), c.more > 0 ? el("li.quiet", {}, "and " + count(c.more, "more change", "more changes")) : ""))));
};
