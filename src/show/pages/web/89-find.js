// What a search's words name besides items: a backup (`#264`), a day or month, a person.
keepway.find = async (machine, wanted) => {
  const {el, called, date, worth, worthOf, count} = keepway;
  const line = (place) => el("li", {}, called(machine, place), " of " + date(machine.at[place]) + ", by " + keepway.by(machine, place) + ", ",
    worth(worthOf(machine.worth[place]), machine.worth[place] !== machine.worth[place].toLowerCase()));
  const text = wanted.trim();
  const out = [];
  const number = /^#?\s*(\d+)$/.exec(text);
  const place = number ? machine.number.indexOf(Number(number[1])) : -1;
  if (place >= 0) out.push(el("h2", {}, "Backup"), el("ul", {}, line(place)));
  else if (number && text.startsWith("#")) out.push(el("p", {}, "There is no backup " + text + "; the newest is ", called(machine, keepway.newest(machine)), "."));
  const days = keepway.days(text, machine);
  if (days) out.push(await keepway.dayWords(machine, days));
  const people = machine.people.map((name, i) => [name, i]).filter(([name]) => name.toLowerCase().includes(text.toLowerCase()));
  for (const [name, i] of people.slice(0, 20)) {
    const places = machine.by.map((by, at) => [by, at]).filter(([by]) => by === i).map(([, at]) => at).reverse();
    out.push(el("h2", {}, name + ": " + count(places.length, "backup", "backups")), el("ul", {}, places.slice(0, 20).map(line),
      places.length > 20 ? el("li", {}, "and " + (places.length - 20) + " older ones: see the timeline") : ""));
  }
  return out;
};
