// Take a backup in: sent, looked at, and stored only when a person has seen what it is worth.
(() => {
  const {el, worth, count} = keepway;
  const {field, check, by, says, failed} = counter;

  // The verdict in full: nothing that the terminal says is left out.
  function verdict(said) {
    const {verdict, cautions} = said.answer;
    const heavy = verdict.reasons.filter((r) => r.weight !== "good");
    const light = verdict.reasons.filter((r) => r.weight === "good");
    const caution = (c) => (c.name ? c.name + " (" + c.address + ")" : c.address) +
      (c.before !== null ? " went from " + c.before + " to " + (c.after === null ? "nothing" : c.after) : c.after !== null ? " is " + c.after : "") + ": " + c.why;
    return [el("h2", {tabindex: "-1"}, "What it is worth"), el("p.first", {}, worth(verdict.worth), heavy.length === 0 ? ": nothing found that speaks against it" : ": " + count(heavy.length, "reason", "reasons")),
      said.beside ? el("div.notice", {}, el("pre", {}, said.beside.trimEnd()), counter.options(said.beside)) : "",
      said.already ? el("div.notice", {}, el("pre", {}, said.already.trimEnd()), counter.options(said.already)) : "",
      heavy.length > 0 ? el("ul.reasons", {}, heavy.map((r) => el("li", {}, el("span.reason", {}, r.what), el("p.note", {}, "do: " + r.remedy)))) : "",
      light.length > 0 ? [el("h3", {}, "Worth knowing"), el("ul", {}, light.map((r) => el("li", {}, r.what)))] : "",
      verdict.as_before.length > 0 ? [el("h3", {}, "As before"), el("ul", {}, verdict.as_before.map((r) => el("li", {}, r.what + ", since #" + r.since + ", accepted by " + r.by)))] : "",
      cautions.length > 0 ? el("section.cautions", {}, el("h2", {}, "Look at these before you cut"), el("ul", {}, cautions.map((c) => el("li", {}, caution(c))))) : "",
      changes(said.changes),
      el("details", {}, el("summary", {}, "The same as the terminal says it"), el("pre", {}, said.text.trimEnd() + "\n\n" + said.changes.text.trimEnd()))];
  }

  function changes({text, answer}) {
    const {values, programs} = answer;
    const shown = (value, r) => value === null ? "" : value + (r.unit ? " " + r.unit : "");
    return [el("h2", {}, "What changed"), el("p", {}, text.split("\n")[0]),
      !values || values.length === 0 ? "" : keepway.table({
        caption: count(values.length, "value", "values"), rows: values, size: 100, filter: values.length > 10 ? "Find in these" : undefined,
        columns: [
          {title: "item", text: (r) => r.address},
          {title: "name", text: (r) => r.name},
          {title: "before", text: (r) => shown(r.before, r), cell: (r) => r.before === null ? el("em", {}, "none") : shown(r.before, r), number: true},
          {title: "after", text: (r) => shown(r.after, r), cell: (r) => r.after === null ? el("em", {}, "gone") : shown(r.after, r), number: true},
          {title: "difference", text: (r) => r.delta || "", compare: (a, b) => Math.abs(Number(a.delta || 0)) - Math.abs(Number(b.delta || 0)), number: true, cell: (r) => [
            r.delta ? r.delta + (r.other_delta ? " (" + r.other_delta + " " + r.other_unit + ")" : "") : "", (r.warnings || []).map((w) => el("p.reason", {}, w))]},
        ]}),
      !programs || programs.length === 0 ? "" : [el("h3", {}, "Programs"), el("ul", {}, programs.map((p) => el("li", {}, p.program + " " + keepway.programChange(p, p.blocks.length))))]];
  }

  keepway.views.intake = async (machine) => {
    const found = el("div.found", {});
    const going = el("div.going", {role: "status"});
    const at = el("input", {type: "text", placeholder: "2026-03-01"});
    const slot = el("input", {type: "number", min: 1, max: 100000});
    const recover = check("Also read deleted files of a floppy image, where they are still whole");
    let drop = "";
    let isBusy = false;

    const leave = async () => {
      if (drop) await counter.act("leave", {drop}).catch(() => {});
      drop = "";
    };

    async function look() {
      going.replaceChildren(el("p", {}, "Looking at it."));
      const said = await counter.act("inspect", {machine: machine.machine, drop, at: at.value.trim(), slot: slot.value ? Number(slot.value) : null, recover: recover.box.checked});
      going.replaceChildren();
      const who = by();
      const note = el("input", {type: "text", maxlength: 400});
      const isGood = said.answer.verdict.worth === "good";
      const accept = check(said.answer.verdict.worth === "refused" ? "Accept it as it is: I have read the reasons, and it is right" : "Accept it as it is: I have read the reasons; backups with these alone are good from now on");
      const again = check("Store it once more");
      const come = el("div.said", {role: "status"});
      const take = el("button.do", {type: "submit"}, "Take it in");
      const no = el("button", {type: "button", onclick: async () => {
        await leave();
        found.replaceChildren();
        going.replaceChildren(el("p", {}, "Left. Nothing was stored."));
      }}, "Leave it");
      const form = el("form.act", {onsubmit: async (event) => {
        event.preventDefault();
        take.disabled = no.disabled = true;
        try {
          const stored = await counter.act("intake", {machine: machine.machine, drop, by: who.value.trim(), note: note.value.trim(), accept: accept.box.checked, again: again.box.checked});
          come.replaceChildren(says(stored));
          if (stored.stored) {
            drop = "";
            counter.changed();
            form.replaceChildren(el("h2", {}, "Taken in"), come, el("p", {}, keepway.link("To the first page", "glance")));
            return;
          }
        } catch (error) {
          come.replaceChildren(failed(error), el("button", {type: "button", onclick: () => look().catch(fail)}, "Look at it again"));
        }
        take.disabled = no.disabled = false;
      }}, el("h2", {}, "Take it in?"), field("Who took the backup", who), field("Why, in one line", note), isGood ? "" : accept.label, said.already ? again.label : "", el("div.buttons", {}, take, no), come);
      found.replaceChildren(...[verdict(said), form].flat(Infinity).filter(Boolean));
      found.querySelector("h2").focus();
    }
    const fail = (error) => going.replaceChildren(failed(error), drop ? el("button", {type: "button", onclick: () => look().catch(fail)}, "Look at it again") : "");

    async function take(what) {
      if (isBusy) return;
      isBusy = true;
      const stop = new AbortController();
      const bar = el("progress", {max: 1, value: 0, "aria-label": "Sent"});
      const text = el("p", {}, "Reading what was dropped.");
      found.replaceChildren();
      going.replaceChildren(text, bar, el("button", {type: "button", onclick: () => stop.abort()}, "Stop"));
      try {
        await leave();
        const chosen = await what;
        drop = await counter.dropped.send(chosen, (sent, of, files) => {
          bar.max = of || 1;
          bar.value = sent;
          text.textContent = count(files, "file", "files") + " of " + chosen.files.length.toLocaleString("en") + ", " + (sent / 1048576).toFixed(1) + " of " + (of / 1048576).toFixed(1) + " MiB";
        }, stop.signal);
        await look();
      } catch (error) {
        if (error.name === "AbortError") going.replaceChildren(el("p", {}, "Stopped. Nothing was stored."));
        else fail(error);
      } finally {
        isBusy = false;
      }
    }

    const chooser = (title, more) => {
      const input = el("input.unseen", {type: "file", multiple: true, ...more, onchange: () => {
        if (input.files.length > 0) take(Promise.resolve(counter.dropped.ofFiles([...input.files])));
        input.value = "";
      }});
      return el("label.choose-files", {}, input, title);
    };
    const zone = el("div.drop", {
      ondragover: (event) => {
        event.preventDefault();
        zone.classList.add("over");
      },
      ondragleave: () => zone.classList.remove("over"),
      ondrop: (event) => {
        event.preventDefault();
        zone.classList.remove("over");
        take(counter.dropped.ofDrop(event.dataTransfer));
      },
    }, el("p.first", {}, "Drop the backup here"), el("p", {}, "A folder, its files, a floppy image, or an archive (zip, tar, 7z). It is looked at first; nothing is stored until you say so."),
      el("div.buttons", {}, chooser("Choose a folder", {webkitdirectory: true}), chooser("Choose files, an image or an archive", {})));
    return [el("h1", {}, "Take a backup in"), zone,
      el("details.more", {}, el("summary", {}, "Date, slot of a stick\u2019s image, deleted files"), field("When it was taken", at, "Empty: the date of its newest file"), field("Slot of an image with many floppies", slot, "Empty: there is one"), recover.label),
      going, found];
  };

  keepway.acts.pages.push(["Take in", "intake"]);
  keepway.acts.machine = () => [el("p.acts", {}, el("a.do", {href: keepway.route("intake")}, "Take a backup in"), el("a.do", {href: keepway.route("restore")}, "Put a state back"))];
})();
