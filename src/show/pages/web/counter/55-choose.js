// What of a backup is put back: all of it, some of its groups, or single items that are looked for by name.
// `changed()`: a person chose otherwise.
counter.chooser = (machine, first, changed) => {
  const {el, load} = keepway;
  const items = new Set(first);
  const groups = machine.groups.map((g) => {
    const box = el("input", {type: "checkbox", value: g.name, onchange: changed});
    return {box, label: el("label.check", {}, box, el("span", {}, g.name))};
  });
  const chosen = el("ul.chosen", {});
  const hits = el("ul.hits", {role: "list"});
  const wanted = el("input", {type: "search", autocomplete: "off", placeholder: "An address, a name, a program"});
  const note = el("p.quiet", {role: "status"});

  const draw = () => chosen.replaceChildren(...[...items].map((address) => el("li", {}, el("code", {}, address), " ",
    el("button", {type: "button", "aria-label": "Leave out " + address, onclick: () => {
      items.delete(address);
      draw();
      changed();
    }}, "Leave out"))));
  let known = null;
  let turn = 0;
  async function find() {
    const mine = ++turn;
    const words = wanted.value.toLowerCase().split(/\s+/).filter(Boolean);
    known = known || (await Promise.all(machine.groups.map((g) => load("items-" + g.name)))).flatMap(({group, items: all}) =>
      all.filter((i) => !i.k.startsWith("unread/")).map((i) => ({address: group + "/" + i.k, name: i.n || "", value: i.v, hay: (group + "/" + i.k + " " + (i.n || "")).toLowerCase()})));
    if (mine !== turn) return;
    const found = words.length === 0 ? [] : known.filter((i) => words.every((w) => i.hay.includes(w)));
    const most = 12;
    note.textContent = words.length === 0 ? "" : found.length === 0 ? "No item has that." : found.length > most ? "The first " + most + " of " + found.length.toLocaleString("en") + ": type more to see fewer." : "";
    hits.replaceChildren(...found.slice(0, most).map((i) => el("li", {}, el("button", {type: "button", onclick: () => {
      items.add(i.address);
      wanted.value = "";
      hits.replaceChildren();
      note.textContent = i.address + " is chosen.";
      draw();
      changed();
      wanted.focus();
    }}, el("code", {}, i.address), i.name ? " " + i.name : "", i.address.startsWith("programs/") ? "" : el("span.quiet", {}, " now " + i.value)))));
  }
  wanted.addEventListener("input", find);
  wanted.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    const only = hits.querySelector("button");
    if (only) only.click();
  });
  draw();

  const parts = {
    all: el("div", {}),
    groups: el("div.part", {}, groups.map((g) => g.label)),
    items: el("div.part", {}, counter.field("Find an item", wanted, "It goes into the newest files; nothing else in them is changed"), note, hits, chosen),
  };
  const radio = (value, title) => el("label", {}, el("input", {type: "radio", name: "what", value, onchange: () => {
    pick(value);
    changed();
  }}), title);
  const radios = el("fieldset.choices", {}, el("legend", {}, "What"), radio("all", "all of it"), radio("groups", "some groups"), radio("items", "single values or programs"));
  let which = "all";
  function pick(value) {
    which = value;
    radios.querySelector("input[value=" + value + "]").checked = true;
    for (const [name, part] of Object.entries(parts)) part.hidden = name !== value;
  }
  pick(items.size > 0 ? "items" : "all");

  return {
    nodes: [radios, Object.values(parts)],
    only: () => which === "all" ? [] : which === "items" ? [...items] : groups.filter((g) => g.box.checked).map((g) => g.box.value),
    // Why nothing can be put back yet; "" when something can.
    missing() {
      return which === "all" || this.only().length > 0 ? "" : which === "items" ? "No item is chosen yet." : "No group is chosen yet.";
    },
    set(only) {
      if (only.length === 0) return pick("all");
      const names = machine.groups.map((g) => g.name);
      const byGroup = only.every((each) => names.includes(each));
      if (byGroup) groups.forEach((g) => { g.box.checked = only.includes(g.box.value); });
      else only.forEach((each) => items.add(each));
      draw();
      return pick(byGroup ? "groups" : "items");
    },
  };
};
