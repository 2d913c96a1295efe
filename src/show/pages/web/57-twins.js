// Two machines of the shop beside each other, as the last good backup of each has them.
(() => {
  const {el, loadTwins, count, route} = keepway;

  keepway.chooseTwins = (shop, first, second) => {
    if (shop.machines.length < 2) return "";
    const select = (id, chosen) => el("select", {id}, shop.machines.map((m) => el("option", {value: m.name, selected: m.name === chosen}, m.name)));
    const [a, b] = [select("first-machine", first || shop.machines[0].name), select("second-machine", second || shop.machines[1].name)];
    return el("form.choose", {onsubmit: (e) => {
      e.preventDefault();
      location.hash = route("twins", a.value, b.value);
    }}, el("label", {for: a.id}, "Two machines side by side: "), a, " ", el("label", {for: b.id}, "and "), b, " ", el("button", {type: "submit"}, "Show"));
  };

  // As the command says it: equal or not is for the library to tell, in whatever units each counts.
  const compared = (said, [left, right]) => {
    const {a, b} = said;
    const out = [];
    if (a.units !== b.units) out.push(el("p.note", {}, a.machine + " counts in " + a.units + " and " + b.machine + " in " + b.units + ": lengths are compared as lengths, one inch being 25.4 mm exactly. Each value is in its machine\u2019s own units, the difference of two lengths in mm. One that was rounded to its last digit differs a little: the largest differences come first. What neither namebook has a unit for is compared as a number, and has no difference."));
    out.push(el("p", {}, said.counted + "."));
    if (said.values.length + said.programs.length === 0) out.push(el("p.first", {}, "Nothing that should be equal differs."));
    if (said.values.length > 0) out.push(el("p.reason", {}, said.caution + "."));
    const groups = [...new Set(said.values.map((v) => v.address.split("/")[0]))];
    const item = (machine, v) => el("a", {href: "machines/" + encodeURIComponent(machine) + "/index.html" + route("item", ...v.address.split("/"))}, v.address);
    const size = (v) => Math.abs(Number(v.delta || 0));
    for (const group of groups) {
      const rows = said.values.filter((v) => v.address.split("/")[0] === group);
      out.push(el("h2", {}, group), keepway.table({caption: count(rows.length, "value differs", "values differ") + " of " + group, rows, size: 100, filter: rows.length > 20 ? "Find in these" : undefined,
        sort: a.units === b.units ? undefined : {column: 4, down: true},
        columns: [
          {title: "item", text: (v) => v.address, cell: (v) => item(v.a === null ? right.name : left.name, v)},
          {title: "name", text: (v) => v.name},
          {title: left.name, text: (v) => v.a === null ? "none" : v.a_shown, number: "mixed"},
          {title: right.name, text: (v) => v.b === null ? "none" : v.b_shown, number: "mixed"},
          {title: "difference", text: (v) => v.delta ? v.delta + (v.delta_unit ? " " + v.delta_unit : "") : "", compare: (v, w) => size(v) - size(w), number: true},
        ]}));
    }
    for (const [groupsOf, name] of [[said.only_a, left.name], [said.only_b, right.name]])
      for (const group of groupsOf) out.push(el("p", {}, group + ": only " + name + " has any"));
    if (said.programs.length > 0) out.push(el("h2", {}, "programs"), keepway.table({caption: count(said.programs.length, "program differs", "programs differ"), rows: said.programs, size: 100,
      filter: said.programs.length > 20 ? "Find in these" : undefined, columns: [{title: "program", text: (p) => p.program}, {title: "what differs", text: (p) => p.said}]}));
    return out;
  };

  keepway.views.twins = async (shop, first, second) => {
    const machines = [first, second].map((name) => shop.machines.find((m) => m.name === name));
    const chooser = keepway.chooseTwins(shop, first, second);
    const back = el("p", {}, el("a", {href: "#/"}, "All machines"));
    const missing = [first, second].find((_, i) => !machines[i]);
    if (missing !== undefined) return [back, el("h1", {}, "No machine " + missing), chooser];
    if (first === second) return [back, el("h1", {}, "Two machines side by side"), el("p", {}, "Choose two that are not the same."), chooser];
    // One order, that of the list, whichever was chosen first.
    const sides = machines.sort((m, n) => shop.machines.indexOf(m) - shop.machines.indexOf(n));
    const out = [back, el("h1", {}, sides.map((m) => m.name).join(" and "))];
    const asOf = (m, at) => el("li", {}, el("a", {href: "machines/" + encodeURIComponent(m.name) + "/index.html"}, m.name), ", " + m.title + ", " + m.units + ", ",
      at ? ["as of ", el("a", {href: "machines/" + encodeURIComponent(m.name) + "/index.html" + route("backup", at.key)}, at.name), " of " + keepway.date(at.taken)] : m.good ? "as of its last good backup" : "no good backup yet");
    if (sides.some((m) => !m.good)) return [...out, el("ul", {}, sides.map((m) => asOf(m))), chooser, el("p.reason", {}, "They are compared once both have a good backup.")];
    const said = await loadTwins(sides[0].name, sides[1].name).catch(() => null);
    if (!said) return [...out, el("ul", {}, sides.map((m) => asOf(m))), chooser, el("p.reason", {}, "These two are not compared here. At the terminal: keepway twin " + sides[0].name + " " + sides[1].name)];
    return [...out, el("ul", {}, asOf(sides[0], said.a), asOf(sides[1], said.b)), chooser, ...compared(said, sides)];
  };
})();
