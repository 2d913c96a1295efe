// Names, units and limits, edited where they are shown. What is not touched stays as the namebook has it.
(() => {
  const {el} = keepway;
  const {failed, act} = counter;
  const fields = [["name", "name"], ["unit", "unit, as in mm, or: length"], ["min", "lower limit"], ["max", "upper limit"], ["step", "largest step without a warning"]];

  // `done(entry)`: with what the namebook says of it now; nothing: it was left.
  async function editor(machine, address, done) {
    const entry = (await act("names", {machine: machine.machine, address})).answer.entries[0];
    const inputs = new Map(fields.map(([name, title]) => {
      const input = el("input", {type: "text", maxlength: 200, "aria-label": title + " of " + address, inputmode: name === "name" || name === "unit" ? null : "decimal"});
      input.value = entry[name] || "";
      return [name, input];
    }));
    const said = el("div.said", {role: "status"});
    const save = el("button", {type: "submit"}, "Save");
    const node = el("form.name", {onsubmit: async (event) => {
      event.preventDefault();
      save.disabled = true;
      const changed = Object.fromEntries([...inputs].filter(([name, input]) => input.value.trim() !== (entry[name] || "")).map(([name, input]) => [name, input.value.trim()]));
      try {
        const answered = await act("names", {machine: machine.machine, address, ...changed});
        if (Object.keys(changed).length > 0) counter.changed();
        done(answered.answer.entries[0], answered.beside);
      } catch (error) {
        said.replaceChildren(failed(error));
        save.disabled = false;
      }
    }, onkeydown: (event) => {
      if (event.key === "Escape") done();
    }}, fields.map(([name, title]) => el("label", {}, el("span.quiet", {}, title), inputs.get(name))), el("div.buttons", {}, save, el("button", {type: "button", onclick: () => done()}, "Cancel")), said);
    return node;
  }

  const limits = (entry) => [entry.unit ? "in " + entry.unit : "", entry.min !== null ? "least " + entry.min : "", entry.max !== null ? "most " + entry.max : "", entry.step !== null ? "step " + entry.step : ""].filter(Boolean).join(", ");

  // A text with a button beside it that turns it into fields. `describe(entry)`: after a change; gives the text.
  counter.named = (machine, address, text, describe) => {
    const place = el("div.named", {});
    const show = (now, more) => {
      const edit = el("button.edit", {type: "button", "aria-label": "Edit name, unit and limits of " + address, onclick: async () => {
        edit.disabled = true;
        try {
          const node = await editor(machine, address, (entry, beside) => {
            show(entry ? describe(entry) : now, entry ? [limits(entry) ? el("p.note", {}, limits(entry)) : "", beside ? el("pre.reason", {}, beside.trimEnd()) : "", el("p.note", {role: "status"}, "Saved.")] : []);
            place.querySelector("button").focus();
          });
          place.replaceChildren(node);
          node.querySelector("input").focus();
        } catch (error) {
          show(now, [failed(error)]);
        }
      }}, "Edit");
      place.replaceChildren(...[el("span", {}, now), " ", edit, more].flat(Infinity).filter(Boolean));
    };
    show(text, []);
    return place;
  };

  const putBack = keepway.acts.item;
  keepway.acts.item = (machine, address, item) => [counter.named(machine, address, "Name, unit and limits:", (entry) => {
    item.n = entry.name;
    document.querySelector("main h1").textContent = entry.name || address;
    return "Name, unit and limits:";
  }), putBack(machine, address)];

  // In a table one and the same node each time a row is drawn: what is being typed stays.
  const nodes = new WeakMap();
  keepway.acts.name = (machine, group, row) => {
    if (!nodes.has(row)) nodes.set(row, counter.named(machine, group + "/" + row.k, row.n || "", (entry) => (row.n = entry.name)));
    return nodes.get(row);
  };
})();
