// Enroll a machine from a backup that is dropped: what is read of it, what was guessed, its name; then its layout is
// the one that was shown.
(() => {
  const {el, count} = keepway;
  const {field, check, by, says, failed} = counter;
  const text = (value, more) => {
    const input = el("input", {type: "text", maxlength: 200, ...more});
    input.value = value || "";
    return input;
  };

  const names = (files) => files.slice(0, 4).join(", ") + (files.length > 4 ? " and " + (files.length - 4).toLocaleString("en") + " more" : "");
  // As many as the terminal shows, and the rest on demand.
  const list = (items) => {
    const most = 8;
    return [el("ul", {}, items.slice(0, most)), items.length > most ? el("details", {}, el("summary", {}, "and " + (items.length - most).toLocaleString("en") + " more"), el("ul", {}, items.slice(most))) : ""];
  };

  const groups = ["parameters", "settings", "offsets", "variables"];
  // What may be corrected of a source, as the layout has it. Programs are read in one way only, or left out.
  // `wanted`: what was asked for last, and could not be read.
  function correcting(s, {group, name, left_out: isOut}, wanted) {
    const select = el("select", {form: "enroll"}, groups.map((g) => el("option", {value: g}, g)));
    select.value = wanted.group || group;
    const front = text(wanted.name === undefined ? name : wanted.name, {form: "enroll", maxlength: 80, autocomplete: "off", spellcheck: "false"});
    const of = " of " + names(s.files);
    const out = check("Leave out " + names(s.files) + ": no line of it is data");
    out.box.setAttribute("form", "enroll");
    out.box.checked = wanted.left_out === undefined ? isOut : wanted.left_out;
    const again = el("button", {type: "button", hidden: true}, "Read it again with these");
    const fields = s.group === "programs" ? [] : [field("Group" + of, select), field("Name in front of the items" + of, front, "As tool in offsets/tool/1; empty: none")];
    return {source: s.source, isOut, inputs: [select, front, out.box], again, nodes: [fields, out.label, again].flat(),
      changed: () => ({...(fields.length > 0 && select.value !== group ? {group: select.value} : {}), ...(fields.length > 0 && front.value.trim() !== name ? {name: front.value.trim()} : {}), ...(out.box.checked !== isOut ? {left_out: out.box.checked} : {})})};
  }
  function sources(understood, correct) {
    return understood.sources.map((s) => {
      const isPrograms = s.group === "programs";
      const shown = s.rows.length < s.items ? "the first " + s.rows.length + " of " : "";
      const mine = correct.filter((c) => c.source === s.source);
      return el("section.source", {}, el("h3", {}, s.group), el("p.quiet", {}, "from " + names(s.files)), mine.some((c) => c.isOut) ? el("p", {}, "Left out: kept as it comes, and no item is made of it.") : el("table.grid", {}, el("caption", {}, shown + count(s.items, isPrograms ? "program" : "value", isPrograms ? "programs" : "values")),
        el("thead", {}, el("tr", {}, el("th", {scope: "col"}, "item"), el("th", {scope: "col"}, isPrograms ? "length" : "value"))),
        el("tbody", {}, s.rows.map((r) => el("tr", {}, el("th", {scope: "row"}, el("code", {}, r.address)), el("td", {}, r.written))))), mine.map((c) => c.nodes));
    });
  }
  // What nobody understood, so that it would only be kept as it came.
  function unread({unread: causes, unclaimed, twice, twice_first: again, other_serial: others}) {
    const all = [...causes.map((u) => el("li", {}, el("span.reason", {}, "not understood " + (u.times === 1 ? "once" : u.times.toLocaleString("en") + " times") + ": " + u.why), el("p.note", {}, "first " + place(u.first) + ": ", el("code", {}, u.text)))),
      unclaimed.length > 0 ? el("li.reason", {}, "no source takes " + names(unclaimed)) : "",
      twice > 0 ? el("li", {}, el("span.reason", {}, count(twice, "value is", "values are") + " given again in one file, not the same each time; the last counts"), again.map((t) => el("p.note", {}, el("code", {}, t.address), " is ", el("code", {}, t.taken), " (" + place(t.place) + "), and ", el("code", {}, t.passed), " in line " + t.passed_at.line))) : "",
      ...others.map((o) => el("li.reason", {}, o))].filter(Boolean);
    return all.length === 0 ? "" : [el("h3", {}, "Not understood"), list(all)];
  }
  // Lines that gave no value: a person sees at once whether one of them has one.
  const passed = ({passed: lines, passed_first: first}) => lines === 0 ? "" : [el("h3", {}, "Not taken as values: " + count(lines, "line", "lines") + (lines > first.length ? ", such as" : "")),
    el("ul", {}, first.map((p) => el("li", {}, place(p.place) + ": ", el("code", {}, p.text))))];
  const place = (p) => p.file + (p.line ? ":" + p.line : "");
  function guessed({guessed: guesses, serial, serial_from: from, serial_unknown: unknown, units, units_found: areFound}) {
    const all = [from ? "the serial, " + serial + ": from " + from : unknown, areFound ? "" : "the units, " + units + ": nothing in the files says them",
      ...guesses.map((g) => g.line > 0 ? g.what + " (line " + g.line + " of the layout, " + g.key + ")" : g.what)].filter(Boolean);
    return all.length === 0 ? "" : [el("h3", {}, "Guessed: look at these"), list(all.map((g) => el("li", {}, g)))];
  }
  const layout = (lines) => el("details", {}, el("summary", {}, "The layout that is proposed"), el("p", {}, "It is yours to edit later: layout.toml in the machine\u2019s folder."),
    el("div.scroll", {tabindex: "0", role: "region", "aria-label": "The layout that is proposed"}, el("ol.code", {}, lines.trimEnd().split("\n").map((line) => el("li", {}, el("code", {}, line || " "))))));

  keepway.views.enroll = async () => {
    // What was entered stays when the backup is looked at again.
    const nothing = {serial: "", units: "", edits: []};
    let entered = {drop: ""};

    async function look(zone) {
      if (entered.drop !== zone.drop) entered = {drop: zone.drop, wanted: nothing, good: nothing, read: new Map()};
      let trouble = "";
      let wanted = nothing;
      const ask = () => zone.ask("propose", {...zone.asked(), ...entered.wanted});
      const said = await ask().catch((error) => {
        if (error.isStop || entered.wanted === entered.good) throw error;
        trouble = failed(error);
        wanted = entered.wanted;
        entered.wanted = entered.good;
        return ask();
      });
      entered.good = entered.wanted;
      const {answer} = said;
      // One that is left out, by hand or by the proposal, has no items, and so is not among those that are read.
      for (const s of answer.understood.sources) entered.read.set(s.source, s);
      answer.editable.forEach((e, i) => {
        if (e.left_out) answer.understood.sources.push(entered.read.get(i + 1) || {source: i + 1, group: e.group, files: e.files, items: 0, rows: []});
      });
      answer.understood.sources.sort((a, b) => a.source - b.source);
      const correct = answer.understood.sources.map((s) => correcting(s, answer.editable[s.source - 1], wanted.edits.find((e) => e.source === s.source) || {}));
      const name = text(entered.name, {required: true, maxlength: 64, autocomplete: "off", spellcheck: "false"});
      const title = text(entered.title);
      const serial = text(wanted.serial || answer.serial, {autocomplete: "off", spellcheck: "false"});
      const units = el("select", {}, ["inch", "mm"].map((u) => el("option", {value: u}, u)));
      units.value = wanted.units || answer.units;
      const every = el("input", {type: "number", min: 1, max: 36500});
      every.value = entered.every || "";
      const who = by();
      const come = el("div.said", {role: "status"});
      const submit = el("button.do", {type: "submit"}, "");
      const no = el("button", {type: "button", onclick: zone.left}, "Leave it");
      const isCorrected = (c) => Object.keys(c.changed()).length > 0;
      const isOther = () => serial.value.trim() !== answer.serial || units.value !== answer.units || correct.some(isCorrected);
      // With what was corrected before.
      const edits = () => {
        const all = new Map(entered.good.edits.map((c) => [c.source, c]));
        for (const c of correct.filter(isCorrected)) all.set(c.source, {...all.get(c.source), source: c.source, ...c.changed()});
        return [...all.values()];
      };
      const date = counter.otherDate(said, "The true date, for when it is taken in", entered.date);
      const label = () => {
        submit.textContent = isOther() ? "Read it again with these" : "Enroll the machine";
        submit.formNoValidate = isOther();  // it needs no name yet
        for (const c of correct) c.again.hidden = !isCorrected(c);
      };
      for (const input of [serial, units, ...correct.flatMap((c) => c.inputs)]) input.addEventListener("input", label);
      label();

      const form = el("form.act", {id: "enroll", onsubmit: async (event) => {
        event.preventDefault();
        Object.assign(entered, {name: name.value, title: title.value, every: every.value, date: date.input && date.input.value});
        if (isOther()) {
          come.replaceChildren();
          // A serial that was found stays one.
          entered.wanted = {serial: serial.value.trim() !== answer.serial ? serial.value.trim() : entered.good.serial, units: units.value, edits: edits()};
          zone.look();
          return;
        }
        submit.disabled = no.disabled = true;
        try {
          const made = await counter.wait(come, "Enrolling it", ["it may have been enrolled just before", "look at the list of machines: if so, it is there"], "enroll",
            {drop: zone.drop, name: name.value.trim(), title: title.value.trim(), ...entered.good, backup_every: Number(every.value || 0), by: who.value.trim()});
          counter.changed();
          const {machine} = made.answer;
          const end = made.text.trimEnd().split("\n\n");  // the screen is above
          come.replaceChildren(says({text: end[end.length - 1], beside: made.beside}), el("details", {}, el("summary", {}, "All that the terminal says"), el("pre", {}, made.text.trimEnd())));
          form.replaceChildren(el("h2", {tabindex: "-1"}, "Enrolled"), come, el("p.acts", {}, el("a.do", {href: "machines/" + encodeURIComponent(machine) + "/index.html" + keepway.route("intake", zone.drop, ...(date.input && date.input.value ? [date.input.value] : []))}, "Go on: take this backup in")));
          for (const node of [date.node, ...correct.flatMap((c) => c.nodes)]) if (node) node.remove();  // it is done
          form.querySelector("h2").focus();
          return;
        } catch (error) {
          come.replaceChildren(failed(error), zone.again());
        }
        submit.disabled = no.disabled = false;
      }}, el("h2", {}, "Enroll it?"), field("Short name", name, "Letters, digits, - _ . as in: mill-2"), field("What people call it", title), field("Serial number", serial, "As it is in the files; empty: it is looked for"), field("Units of its lengths", units),
        field("A backup is due after this many days", every, "Empty: nobody is reminded"), field("Who enrolls it", who), el("div.buttons", {}, submit, no), come);
      for (const c of correct) c.again.addEventListener("click", () => submit.click());
      return [el("h2", {tabindex: "-1"}, "What is read of it"), trouble, date.node, said.beside ? el("div.notice", {}, el("pre", {}, said.beside.trimEnd())) : "",
        el("div.grids", {}, sources(answer.understood, correct)), unread(answer.understood), passed(answer.understood), guessed(answer), layout(answer.layout),
        el("details", {}, el("summary", {}, "The same as the terminal says it"), el("pre", {}, said.text.trimEnd())), form];
    }
    return [el("p", {}, el("a", {href: "#/"}, "All machines")), el("h1", {}, "Enroll a machine"), counter.dropZone({title: "Drop a backup of the machine here", of: "", isDated: false, look,
      hint: "A folder, its files, a floppy image, or an archive (zip, tar, 7z). How its files are written is found out and shown; the machine is enrolled when you say so, and the backup is taken in after that."}).nodes];
  };
  keepway.acts.shop = () => [el("a.do", {href: "#/enroll"}, "Enroll a machine")];
})();
