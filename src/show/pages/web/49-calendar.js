// A calendar by verdict: a row a month, a mark for each day on which a backup was taken.
keepway.calendar = (machine) => {
  const {el, route, count, months, worthOf} = keepway;
  const years = new Map();  // year, of twelve months, of days: places
  machine.at.forEach((at, place) => {
    if (keepway.isMisdated(machine, place)) return;
    const d = new Date(at * 1000);
    if (!years.has(d.getFullYear())) years.set(d.getFullYear(), Array.from({length: 12}, () => new Map()));
    const days = years.get(d.getFullYear())[d.getMonth()];
    if (!days.has(d.getDate())) days.set(d.getDate(), []);
    days.get(d.getDate()).push(place);
  });
  const sign = {good: "\u2713", doubtful: "?", refused: "\u2715", withdrawn: "\u2013"};
  const two = (n) => String(n).padStart(2, "0");
  // Of a day with several, the last that is to be used: what was made of it that day.
  const cell = (year, month, d, places) => {
    if (!places) return el("td", {});
    const used = places.filter((p) => !keepway.isWithdrawn(machine, p));
    const place = (used.length ? used : places).reduce((a, b) => machine.at[b] >= machine.at[a] ? b : a);
    const letter = machine.worth[place];
    const verdict = keepway.isWithdrawn(machine, place) ? "withdrawn" : worthOf(letter);
    const said = d + " " + months[month] + " " + year + ": " + (places.length > 1 ? count(places.length, "backup", "backups") + ", the last " : "") + keepway.name(machine, place) + ", " + verdict + (letter === letter.toLowerCase() ? "" : ", accepted");
    const to = places.length > 1 ? route("search", year + "-" + two(month + 1) + "-" + two(d)) : route("backup", machine.number[place]);
    return el("td", {}, el("a.worth." + verdict, {href: to, title: said, "aria-label": said}, sign[verdict]));
  };
  const table = (year) => el("div.scroll", {tabindex: "0", role: "region", "aria-label": "Calendar of " + year}, el("table.calendar", {},
    el("caption", {}, "Backups of " + year + " by day"),
    el("thead", {}, el("tr", {}, el("th", {scope: "col"}, String(year)), Array.from({length: 31}, (_, i) => el("th", {scope: "col"}, String(i + 1))))),
    el("tbody", {}, years.get(year).map((days, month) => el("tr", {}, el("th", {scope: "row"}, months[month]),
      Array.from({length: new Date(year, month + 1, 0).getDate()}, (_, i) => cell(year, month, i + 1, days.get(i + 1))))))));
  const all = [...years.keys()].sort((a, b) => b - a);
  return el("section.calendars", {}, el("h2", {}, "Calendar"), all.map((year, i) => {
    const places = years.get(year).reduce((sum, days) => sum + [...days.values()].reduce((n, p) => n + p.length, 0), 0);
    return el("details", {open: i === 0, ontoggle: (e) => {
      if (e.target.open && !e.target.querySelector("table")) e.target.append(table(year));
    }}, el("summary", {}, year + ": " + count(places, "backup", "backups")), i === 0 ? table(year) : "");
  }));
};
