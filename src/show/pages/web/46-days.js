// Days: what a person writes for one, and the backups around it.
(() => {
  const {el, day, date} = keepway;
  const midnight = 86400;

  const span = (y, m, d) => {
    const back = new Date(y, m, d || 1);
    if (back.getMonth() !== m || (d && back.getDate() !== d)) return null;
    const until = d ? new Date(y, m, d + 1) : new Date(y, m + 1, 1);
    return [back.getTime() / 1000, until.getTime() / 1000];
  };

  // The days that "3.3.2026", "25/12/2026" or "1.3.26" may be, as the commands take them (see time.hpp): day first, with
  // slashes or hyphens the month first too; a year of two digits may come first or last. Each once.
  keepway.readings = (text) => {
    const written = /^(\d{1,2})([./-])(\d{1,2})\2(\d{4}|\d{2})$/.exec(text.trim());
    if (!written) return [];
    const [first, second, third] = [written[1], written[3], written[4]].map(Number);
    const isWhole = written[4].length === 4;
    const full = (year) => year < 75 ? 2000 + year : 1900 + year;
    const year = isWhole ? third : full(third);
    const tries = [[year, second, first], ...(written[2] === "." ? [] : [[year, first, second]]), ...(isWhole ? [] : [[full(first), second, third]])];
    const days = tries.filter(([, m, d]) => m >= 1 && m <= 12 && d >= 1).map(([y, m, d]) => span(y, m - 1, d)).filter(Boolean);
    return days.filter(([from], i) => days.findIndex((other) => other[0] === from) === i);
  };

  // [from, to) in seconds for "2026-03-03", "3.3.2026", "3 Mar 2026", "3 March", "March 2026", "2026-03"; null for none.
  keepway.days = (text, machine) => {
    const wanted = text.trim().toLowerCase();
    const iso = /^(\d{4})([-./])(\d{1,2})(?:\2(\d{1,2}))?$/.exec(wanted);
    if (iso) return span(Number(iso[1]), Number(iso[3]) - 1, Number(iso[4] || 0));
    const readings = keepway.readings(wanted);
    if (readings.length === 1 && /\d{4}$/.test(wanted)) return readings[0];
    const said = /^(?:(\d{1,2})\.? )?([a-z]{3,9})\.?(?: (\d{4}))?$/.exec(wanted);
    if (!said) return null;
    const month = keepway.monthNames.findIndex((name) => name.toLowerCase().startsWith(said[2]));
    if (month < 0 || (!said[1] && !said[3])) return null;
    const newest = new Date(machine.at[keepway.newest(machine)] * 1000);
    // Without a year the last such day that is not ahead of the newest backup.
    let year = Number(said[3] || newest.getFullYear());
    if (!said[3] && new Date(year, month, Number(said[1])).getTime() > newest.getTime() + midnight * 1000) --year;
    return span(year, month, Number(said[1] || 0));
  };

  // Places of the backups within, and of the nearest before and after.
  keepway.around = (machine, [from, to]) => {
    const found = {within: [], before: null, after: null};
    machine.at.forEach((at, place) => {
      if (at >= from && at < to) found.within.push(place);
      else if (at < from && (found.before === null || at >= machine.at[found.before])) found.before = place;
      else if (at >= to && (found.after === null || at < machine.at[found.after])) found.after = place;
    });
    found.within.sort((a, b) => machine.at[a] - machine.at[b]);
    return found;
  };

  // What a backup changed, in words: its gist, and the first of its values and programs.
  const changed = (b) => {
    const most = 8;
    const values = [...b.values].sort((v, w) => Number(v.living || false) - Number(w.living || false));  // counters last
    const lines = [...values.map((v) => keepway.changeWords(v)), ...b.programs.map((p) => [keepway.link(p.program, "program", p.program), " " + keepway.programChange(p, p.blocks.length + p.more)])];
    const more = lines.length + (b.more || 0) - most;
    return [el("p.gist", {}, b.gist), b.note ? el("p.note", {}, b.note) : "", b.reasons.slice(0, 1).map((r) => el("p.reason", {}, keepway.reasonWords(r))),
      lines.length === 0 ? "" : el("ul.plain", {}, lines.slice(0, most).map((line) => el("li", {}, line)), more > 0 ? el("li.quiet", {}, "and ", keepway.link(keepway.count(more, "more change", "more changes"), "backup", b.key)) : "")];
  };

  keepway.dayWords = async (machine, span) => {
    const {called, worth, worthOf} = keepway;
    const {within, before, after} = keepway.around(machine, span);
    const said = (place) => [" of " + keepway.time(machine.at[place]) + ", by " + keepway.by(machine, place) + ", ",
      worth(worthOf(machine.worth[place]), machine.worth[place] !== machine.worth[place].toLowerCase()), keepway.isWithdrawn(machine, place) ? ", withdrawn" : ""];
    const shown = within.slice(0, 40);
    const details = await keepway.backups(machine, shown);
    const one = (place, i) => el("li", {}, called(machine, place), said(place), place === 0 ? ", the first backup" : changed(details[i]));
    const near = (title, place) => place === null ? "" : el("li", {}, title + ": ", called(machine, place), " of " + date(machine.at[place]));
    const title = span[1] - span[0] > midnight ? day(span[0]).slice(0, 7) : date(span[0]);
    const out = [el("h2", {}, within.length === 0 ? "No backup of " + title : "Backups of " + title),
      el("ul", {}, shown.map(one), within.length > shown.length ? el("li", {}, "and " + (within.length - shown.length) + " more: see the timeline") : "", near("The one before", before), near("The one after", after))];
    // What happened on a day without one is in the next.
    if (within.length === 0 && before !== null && after !== null) {
      const [next] = await keepway.backups(machine, [after]);
      out.push(el("h3", {}, "Found changed by ", called(machine, after), " of " + date(machine.at[after])), changed(next),
        el("p", {}, keepway.link("All between " + keepway.name(machine, before) + " and " + keepway.name(machine, after), "between", machine.number[before], machine.number[after])));
    }
    return out;
  };

  keepway.goToDate = (machine) => {
    const input = el("input", {type: "date", "aria-label": "Day", min: day(keepway.firstDay(machine)), max: day(machine.made), required: true});
    return el("form.day", {onsubmit: (e) => {
      e.preventDefault();
      if (input.value) location.hash = keepway.route("search", input.value);
    }}, input, " ", el("button", {type: "submit"}, "Go"));
  };
})();
