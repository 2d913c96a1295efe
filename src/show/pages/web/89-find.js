// An address as a control's screen calls it, `#12`, `g54 x`, O0011, in one spelling: in small letters, without blanks,
// slashes, and zeros at the head of a number; two numbers stay two. As the command `when` takes it.
keepway.loose = (text) => {
  let out = "";
  let inNumber = false;
  let isParted = false;
  const digit = /\d/;
  [...text.toLowerCase()].forEach((c, i, all) => {
    if (c === " " || c === "/" || c === "_") {
      inNumber = false;
      isParted = true;
      return;
    }
    if (c === "0" && !inNumber && digit.test(all[i + 1] || "")) return;
    if (isParted && digit.test(c) && digit.test(out.slice(-1))) out += " ";
    isParted = false;
    inNumber = digit.test(c) || (c === "." && inNumber);
    out += c;
  });
  return out;
};
// Whether a text calls an item so: by the end of its address, from any slash on.
keepway.calls = (text) => {
  const isVariable = text.trim().startsWith("#");
  const wanted = keepway.loose(text.trim().slice(isVariable ? 1 : 0));
  const endsSo = (address) => address.split("/").some((_, i, parts) => keepway.loose(parts.slice(i).join("/")) === wanted);
  return (group, key) => wanted !== "" && (!isVariable || group === "variables") &&
    (endsSo(group + "/" + key) || (group === "programs" && key.includes(".") && endsSo(group + "/" + key.slice(0, key.lastIndexOf(".")))));
};

// What a search's words name besides items: a backup (`#264`), a day or month, a person. `isItem`: they call one.
keepway.find = async (machine, wanted, isItem) => {
  const {el, called, date, worth, worthOf, count} = keepway;
  const line = (place) => el("li", {}, called(machine, place), " of " + date(machine.at[place]) + ", by " + keepway.by(machine, place) + ", ",
    worth(worthOf(machine.worth[place]), machine.worth[place] !== machine.worth[place].toLowerCase()));
  const text = wanted.trim();
  const out = [];
  const number = /^#?\s*(\d+)$/.exec(text);
  const place = number ? machine.number.indexOf(Number(number[1])) : -1;
  if (place >= 0) out.push(el("h2", {}, "Backup"), el("ul", {}, line(place)));
  else if (number && text.startsWith("#") && !isItem) out.push(el("p", {}, "There is no backup " + text + "; the newest is ", called(machine, keepway.newest(machine)), "."));
  const days = keepway.days(text, machine);
  if (days) out.push(await keepway.dayWords(machine, days));
  const readings = days ? [] : keepway.readings(text);
  if (readings.length > 0) out.push(el("p", {}, text + " may be ", readings.map(([from], i) => [i > 0 ? " or " : "", keepway.link(keepway.date(from), "search", keepway.day(from))]), "."));
  const people = machine.people.map((name, i) => [name, i]).filter(([name]) => name.toLowerCase().includes(text.toLowerCase()));
  for (const [name, i] of people.slice(0, 20)) {
    const places = machine.by.map((by, at) => [by, at]).filter(([by]) => by === i).map(([, at]) => at).reverse();
    out.push(el("h2", {}, name + ": " + count(places.length, "backup", "backups")), el("ul", {}, places.slice(0, 20).map(line),
      places.length > 20 ? el("li", {}, "and " + (places.length - 20) + " older ones: see the timeline") : ""));
  }
  return out;
};
