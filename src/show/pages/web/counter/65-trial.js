// Trials: begun before an experiment, compared, kept as a whole or item by item, or dropped.
(() => {
  const {el, count} = keepway;
  const {field, check, by, form, says, failed, act} = counter;
  const text = (more) => el("input", {type: "text", maxlength: 400, ...more});
  const own = {accept: "Keep it as a record even if it could not be put back", at: "From which backup", note: "What is tried", only: "keep", prefer: "Which side"};
  const putBack = (title, name) => el("p", {}, keepway.link(title, "restore", "at", name));

  function begin(machine, again) {
    const name = text({required: true, maxlength: 60, placeholder: "warm-up"});
    const at = text({maxlength: 200});
    const note = text({});
    const who = by();
    return form("Begin a trial", [field("Its name", name, "Letters, digits, - _ ."), field("From which backup", at, "Empty: the newest"), field("What is tried", note), field("Who", who)], "Begin it",
      () => act("trial-begin", {machine: machine.machine, name: name.value.trim(), at: at.value.trim(), note: note.value.trim(), by: who.value.trim()}).finally(again), {own});
  }

  // What the trial changed, one row each, with a box; where main has another value too, the side to take.
  function rowsOf(said, trial) {
    // Who looks at an item and comes back finds the boxes as they were.
    const key = "unticked " + trial.name;
    const unticked = keepway.recall(key) || [];
    const clashes = new Map(said.plan.clashes.map((c) => [c.address, c]));
    const {values, programs} = said.answer;
    const rows = [...(values || []).map((v) => ({address: v.address, name: v.name, before: v.before, after: v.after, unit: v.unit ? " " + v.unit : "", delta: v.delta, warnings: v.warnings})),
      ...(programs || []).map((p) => ({address: "programs/" + p.program, name: "", before: null, after: keepway.programChange(p, p.blocks.length), unit: "", isProgram: true}))];
    for (const row of rows) {
      row.box = el("input", {type: "checkbox", checked: !unticked.includes(row.address), "aria-label": "Keep " + row.address, onchange: () =>
        keepway.remember(key, rows.filter((r) => !r.box.checked).map((r) => r.address))});
      row.clash = clashes.get(row.address);
      if (!row.clash) continue;
      const option = (value, title) => el("option", {value}, title);
      row.side = el("select", {"aria-label": "Which side of " + row.address}, option("", "choose"), option("trial", "the trial\u2019s"), option("main", "main\u2019s"));
    }
    return rows;
  }

  const none = (row, value) => value === null ? (row.isProgram ? "" : el("em", {}, "none")) : value + row.unit;
  const item = (row) => row.isProgram ? keepway.link(row.address, "program", row.address.slice("programs/".length)) : keepway.link(row.address, "item", ...row.address.split("/"));
  const table = (rows) => keepway.table({
    caption: count(rows.length, "change", "changes") + " of the trial", rows, size: 100, filter: rows.length > 10 ? "Find in these" : undefined, empty: "The trial has changed nothing.",
    columns: [
      {title: "keep", cell: (r) => el("label.tick", {}, r.box, el("span.on-phone", {}, "keep it"))},
      {title: "item", text: (r) => r.address, cell: item},
      {title: "name", text: (r) => r.name},
      {title: "when it began", text: (r) => r.before || "", cell: (r) => none(r, r.before), number: "mixed"},
      {title: "trial", text: (r) => r.after || "", cell: (r) => [r.after === null ? el("em", {}, "gone") : r.after + r.unit, r.delta ? el("span.quiet", {}, " (" + r.delta + ")") : "", (r.warnings || []).map((w) => el("p.reason", {}, w))], number: "mixed"},
      ...(rows.some((r) => r.clash) ? [{title: "main", text: (r) => r.clash ? "other" : "", cell: (r) => !r.clash ? "" : [r.clash.address.startsWith("programs/") ? "changed there too" : r.clash.main === null ? "gone there" : r.clash.main + r.unit + " there", " ", r.side]}] : []),
    ]});

  // What to ask for: nothing where all is kept; a group where all of it is.
  function only(rows) {
    if (rows.every((r) => r.box.checked)) return [];
    const group = (r) => r.address.split("/")[0];
    const whole = new Set(rows.map(group));
    rows.filter((r) => !r.box.checked).forEach((r) => whole.delete(group(r)));
    return [...whole, ...rows.filter((r) => r.box.checked && !whole.has(group(r))).map((r) => r.address)];
  }

  async function compared(machine, trial, again) {
    const said = await act("trial-changes", {machine: machine.machine, name: trial.name});
    const words = el("details", {}, el("summary", {}, "The same as the terminal says it"), el("pre", {}, said.text.trimEnd()));
    if (!said.plan) return [el("p", {}, "No backup was taken on it yet: back the machine up and take it in."), words];
    const rows = rowsOf(said, trial);
    const who = by();
    const note = text({});
    const accept = check("Keep it as a record even if it could not be put back");
    accept.label.hidden = true;
    const come = el("div.said", {role: "status"});
    const keep = el("button.do", {type: "submit"}, "Keep what is ticked");
    const all = (on) => () => rows.forEach((r) => {
      r.box.checked = on;
      r.box.dispatchEvent(new Event("change"));
    });
    const missing = said.plan.missing.map((group) => el("p.reason", {}, group + ": missing from the trial\u2019s newest backup; nothing of it is merged"));
    return [missing, table(rows), words, el("form.act", {onsubmit: async (event) => {
      event.preventDefault();
      keep.disabled = true;
      try {
        const ticked = rows.filter((r) => r.box.checked);
        if (ticked.length === 0 && rows.length > 0) throw Object.assign(new Error("nothing is ticked"), {remedy: "tick what is to be kept, or drop the trial"});
        const prefer = ticked.filter((r) => r.side && r.side.value).map((r) => r.address + "=" + r.side.value);
        const done = await act("trial-keep", {machine: machine.machine, name: trial.name, only: only(rows), prefer, onto: said.plan.onto, tip: said.plan.tip, accept: accept.box.checked, note: note.value.trim(), by: who.value.trim()});
        if (done.answer.stored && done.answer.restorable) done.more = putBack("Put the merged state on the machine", done.answer.stored.name);
        come.replaceChildren(says(done, own));
        if (done.answer.kept) {
          counter.changed();
          keep.remove();
          again();
          return;
        }
      } catch (error) {
        if (/--accept/.test(error.remedy || "")) accept.label.hidden = false;
        come.replaceChildren(failed(error, own), el("button", {type: "button", onclick: again}, "Look at it again"));
      }
      keep.disabled = false;
    }}, el("h3", {}, "Keep it"), rows.length > 2 ? el("div.buttons", {}, el("button", {type: "button", onclick: all(true)}, "Tick all"), el("button", {type: "button", onclick: all(false)}, "Tick none")) : "",
      el("p", {}, "What is not ticked stays a trial."), field("Why", note), field("Who", who), accept.label, keep, come)];
  }

  function drop(machine, trial, again) {
    const note = text({});
    const who = by();
    const sure = check("The machine holds the trial\u2019s values until it is put back: I know");
    sure.box.required = true;
    return el("details", {}, el("summary", {}, "Drop it"), form("Drop it: nothing of it is merged, and its backups stay stored", [field("Why", note), field("Who", who), sure.label], "Drop it",
      () => act("trial-drop", {machine: machine.machine, name: trial.name, note: note.value.trim(), by: who.value.trim()}).then((done) => {
        done.more = putBack("Put the machine back to where it began, " + trial.base.name, trial.base.name);
        again();
        return done;
      })));
  }

  async function section(machine, trial, again) {
    const say = el("div.said", {role: "status"});
    const turn = trial.in_progress ? ["trial-pause", "Pause it"] : ["trial-resume", "Go on with it"];
    const shown = el("div", {}, el("p", {role: "status"}, "Comparing."));
    compared(machine, trial, again).then((nodes) => shown.replaceChildren(...nodes.flat(Infinity).filter(Boolean)), (error) => shown.replaceChildren(failed(error)));
    return el("section", {}, el("h2", {}, "Trial " + trial.name), el("p", {}, "Begun " + keepway.date(Date.parse(trial.begun) / 1000) + " by " + trial.by + " from " + trial.base.name + "; " + count(trial.backups, "backup", "backups") + " taken on it. " +
      (trial.in_progress ? "In progress: intakes go to it." : "Paused.")), trial.note ? el("p.note", {}, trial.note) : "",
      el("div.buttons", {}, el("button", {type: "button", onclick: async () => {
        try {
          say.replaceChildren(says(await act(turn[0], {machine: machine.machine, name: trial.name})));
          counter.changed();
          again();
        } catch (error) {
          say.replaceChildren(failed(error));
        }
      }}, turn[1])), say, shown, drop(machine, trial, again));
  }

  keepway.views.trial = async (machine) => {
    const list = el("div.trials", {});
    // What was answered stays on the page; the trials are read again.
    const outcome = el("div", {});
    const another = el("details", {}, el("summary", {}, "Begin a trial"));
    let isFirst = true;
    async function draw() {
      try {
        const {trials} = (await act("trials", {machine: machine.machine})).answer;
        const answers = [...list.querySelectorAll(".said > .answer")];
        outcome.replaceChildren(...answers);
        list.replaceChildren(...await Promise.all(trials.map((trial) => section(machine, trial, draw))));
        if (isFirst) another.open = trials.length === 0;
        isFirst = false;
        if (trials.length === 0) list.append(el("p", {}, "No trials. A trial keeps what you try apart from main, until you keep or drop it."));
      } catch (error) {
        list.replaceChildren(failed(error));
      }
    }
    another.append(begin(machine, draw));
    await draw();
    return [el("h1", {}, "Trials"), outcome, list, another];
  };
  keepway.acts.pages.push(["Trials", "trial"]);
})();
