// Take a backup in: sent, looked at, and stored only when a person has seen what it is worth.
(() => {
  const {el, worth, count} = keepway;
  const {field, check, by, says, failed} = counter;

  const whetherStored = counter.whetherStored = ["it may have been stored just before", "look at it again: if so, that is said there"];

  // What is said against a backup, each reason with what to do.
  counter.reasons = (verdict) => {
    const heavy = verdict.reasons.filter((r) => r.weight !== "good");
    // One remedy of several reasons is said once, beneath the last of them.
    const isLast = (r, i) => i + 1 === heavy.length || heavy[i + 1].remedy !== r.remedy;
    return heavy.length === 0 ? "" : el("ul.reasons", {}, heavy.map((r, i) => el("li", {}, el("span.reason", {}, r.what), isLast(r, i) ? el("p.note", {}, "do: " + counter.words(r.remedy)) : "")));
  };

  // The verdict in full: nothing that the terminal says is left out.
  function verdict(said, zone) {
    const {verdict, cautions} = said.answer;
    const heavy = verdict.reasons.filter((r) => r.weight !== "good");
    const light = verdict.reasons.filter((r) => r.weight === "good");
    const caution = (c) => (c.name ? c.name + " (" + c.address + ")" : c.address) +
      (c.before !== null ? " went from " + c.before + " to " + (c.after === null ? "nothing" : c.after) : c.after !== null ? " is " + c.after : "") + ": " + c.why;
    const found = [el("h2", {tabindex: "-1"}, "What it is worth"), el("p.first", {}, worth(verdict.worth), heavy.length === 0 ? ": nothing found that speaks against it" : ": " + count(heavy.length, "reason", "reasons")),
      said.beside ? el("div.notice", {}, el("pre", {}, counter.words(said.beside.trimEnd()))) : "",
      counter.dateAgain(said, zone),
      counter.reasons(verdict),
      light.length > 0 ? [el("h3", {}, "Worth knowing"), el("ul", {}, light.map((r) => el("li", {}, r.what)))] : "",
      verdict.as_before.length > 0 ? [el("h3", {}, "As before"), el("ul", {}, verdict.as_before.map((r) => el("li", {}, r.what + ", since #" + r.since + ", accepted by " + r.by)))] : "",
      cautions.length > 0 ? el("section.cautions", {}, el("h2", {}, "Look at these before you cut"), el("ul", {}, cautions.map((c) => el("li", {}, caution(c))))) : "",
      el("h2", {}, "What changed"), el("p", {}, said.changes.text.split("\n")[0]), counter.changes(said.changes.answer),
      el("details", {}, el("summary", {}, "The same as the terminal says it"), el("pre", {}, said.text.trimEnd() + "\n\n" + said.changes.text.trimEnd()))];
    if (!said.already) return found;
    const there = said.already.answer.already;
    return [el("h2", {tabindex: "-1"}, "It is stored already"), el("p.first", {}, keepway.link(there.name, "backup", there.trial ? there.name : there.number || there.name), ", ", worth(there.verdict, there.accepted), there.withdrawn ? ", withdrawn" : ""),
      el("div.notice", {}, el("pre", {}, counter.words(said.already.text.trimEnd()))), el("details", {}, el("summary", {}, "What it would be worth if it were stored once more"), found)];
  }

  // The name of the backup says another date than its files, which counts unless another is given.
  counter.otherDate = (said, name, value, ...buttons) => {
    if (!said.other_date) return {node: "", input: null};
    const input = el("input", {type: "date"});
    input.value = value || "";
    return {input, node: el("div.notice", {}, el("p", {}, said.other_date[0].toUpperCase() + said.other_date.slice(1) + "."), field(name, input), buttons.map((make) => make(input)))};
  };
  counter.dateAgain = (said, zone) => counter.otherDate(said, "The true date", "", (input) => el("button", {type: "button", onclick: () => {
    if (input.value) zone.dateIt(input.value);
    else input.focus();
  }}, "Look at it again with this date")).node;

  // Values and programs that differ, as a table.
  counter.changes = ({values, programs}) => {
    const shown = (value, r) => value === null ? "" : value + (r.unit ? " " + r.unit : "");
    return [!values || values.length === 0 ? "" : keepway.table({
        caption: count(values.length, "value", "values"), rows: values, size: 100, filter: values.length > 10 ? "Find in these" : undefined,
        columns: [
          {title: "item", text: (r) => r.address},
          {title: "name", text: (r) => r.name},
          {title: "before", text: (r) => shown(r.before, r), cell: (r) => r.before === null ? el("em", {}, "none") : shown(r.before, r), number: "mixed"},
          {title: "after", text: (r) => shown(r.after, r), cell: (r) => r.after === null ? el("em", {}, "gone") : shown(r.after, r), number: "mixed"},
          {title: "difference", text: (r) => r.delta || "", compare: (a, b) => Math.abs(Number(a.delta || 0)) - Math.abs(Number(b.delta || 0)), number: true, cell: keepway.delta},
          ...keepway.notes(values, (r) => [keepway.bitNotes(r), (r.warnings || []).map((w) => el("p.reason", {}, w)),
            r.living ? [el("p.note", {}, "living: it will differ again by itself")] : []]),
        ]}),
      !programs || programs.length === 0 ? "" : [el("h3", {}, "Programs"), el("ul", {}, programs.map((p) => el("li", {}, p.program + " " + keepway.programChange(p, p.blocks.length))))]];
  };

  // `drop`: one that the machine was enrolled from; `date`: the one that was given there.
  keepway.views.intake = async (machine, drop, date) => {
    async function look(zone) {
      const said = await zone.ask("inspect", {machine: machine.machine, ...zone.asked()});
      const who = by();
      const note = el("input", {type: "text", maxlength: 400});
      const isGood = said.answer.verdict.worth === "good";
      const accept = check(said.answer.verdict.worth === "refused" ? "Accept it as it is: I have read the reasons, and it is right" : "Accept it as it is: I have read the reasons; backups with these alone are good from now on");
      const again = check("Store it once more");
      const come = el("div.said", {role: "status"});
      const take = el("button.do", {type: "submit"}, "Take it in");
      const no = el("button", {type: "button", onclick: zone.left}, "Leave it");
      const form = el("form.act", {onsubmit: async (event) => {
        event.preventDefault();
        take.disabled = no.disabled = true;
        try {
          const stored = await counter.wait(come, "Taking it in", whetherStored, "intake", {machine: machine.machine, drop: zone.drop, by: who.value.trim(), note: note.value.trim(), accept: accept.box.checked, again: again.box.checked});
          come.replaceChildren(says(stored));
          if (stored.stored) {
            zone.drop = "";
            counter.changed();
            form.replaceChildren(el("h2", {}, "Taken in"), come, el("p", {}, keepway.link("To the first page", "glance")));
            return;
          }
        } catch (error) {
          come.replaceChildren(failed(error), zone.again());
        }
        take.disabled = no.disabled = false;
      }}, el("h2", {}, "Take it in?"), said.line === "main" ? "" : el("p.notice", {}, "It goes to " + said.line + ", not to main."), field("Who took the backup", who), field("Why, in one line", note), isGood ? "" : accept.label, said.already ? again.label : "", el("div.buttons", {}, take, no), come);
      return [verdict(said, zone), form];
    }
    const trial = machine.trials.find((t) => t.in_progress);
    const goesTo = trial ? el("p.notice", {}, "Trial " + trial.name + " is in progress: what is taken in goes to it, not to main. For a backup of main, ", keepway.link("pause it first", "trial"), ".") : "";
    return [el("h1", {}, "Take a backup in"), goesTo, counter.dropZone({title: "Drop the backup here", of: machine.machine, drop, date, look,
      hint: "A folder, its files, a floppy image, or an archive (zip, tar, 7z). It is looked at first; nothing is stored until you say so."}).nodes];
  };

  keepway.acts.pages.push(["Take in", "intake"]);
  keepway.acts.machine = () => [el("p.acts", {}, el("a.do", {href: keepway.route("intake")}, "Take a backup in"), el("a.do", {href: keepway.route("restore")}, "Put a state back"),
    el("span", {}, "Print its card: ", el("a", {href: "card.html"}, "A4"), " or ", el("a", {href: "card-letter.html"}, "Letter")))];
})();
