// A restore set into a slot of a stick that is plugged in: what the slot holds is shown, and written over once the
// machine's name is typed.
(() => {
  const {el, count} = keepway;
  const {field, check, says, failed, act, wait} = counter;

  counter.ofRestore = {accept: "Put it back all the same", only: "What", plan: "See what it will do", at: "Or another"};

  // What is agreed to before files are handed out. `hear(error)`: one that asks for it.
  counter.consent = (backup) => {
    const read = check("I have read the cautions");
    const accept = check("Put it back all the same: I have read why it is refused");
    read.box.required = true;
    accept.label.hidden = backup.verdict === "good" && !backup.withdrawn;
    return {nodes: [read.label, accept.label], accept: () => accept.box.checked, hear: (error) => {
      if (/--accept/.test(error.remedy || "")) accept.label.hidden = false;
    }};
  };
  // The end of the terminal's answer says what was written; the plan is above.
  counter.written = (said) => {
    const parts = said.text.trimEnd().split("\n\n");
    return [says({text: parts[parts.length - 1], beside: said.beside}), el("details", {}, el("summary", {}, "All that the terminal says"), el("pre", {}, said.text.trimEnd()))];
  };

  const holds = (slot) => [slot.files.length === 0 ? el("p", {}, "No files.") : el("ul", {}, slot.files.map((f) => el("li", {}, el("code", {}, f.name), ", " + count(f.size, "byte", "bytes") + (f.modified ? ", of " + f.modified.slice(0, 10) : "")))),
    slot.deleted.length > 0 ? el("p", {}, count(slot.deleted.length, "deleted file", "deleted files") + " that might still be read.") : "", slot.flaws.map((f) => el("p.reason", {}, (f.file ? f.file + ": " : "") + f.what))];

  // `words`: of the restore. `hold(on)`: no other is chosen meanwhile.
  counter.stickWriter = (words, backup, hold) => {
    const start = el("button.choose-files", {type: "button", onclick: () => list()}, "Write to a stick that is plugged in");
    const going = el("div.going", {role: "status"});
    const found = el("div.onto-stick", {});
    let drop = "";
    let turn = 0;  // the last button that was pressed counts
    const say = (title, ...nodes) => {
      found.replaceChildren(...[el("h3", {tabindex: "-1"}, title), nodes].flat(Infinity).filter(Boolean));
      found.querySelector("h3").focus();
    };
    // Each press stands alone: what goes wrong is said, and the stick is chosen again.
    const step = (work) => async (...args) => {
      const mine = ++turn;
      found.replaceChildren();
      going.replaceChildren();
      try {
        const show = await work(...args);
        if (mine !== turn) return;
        going.replaceChildren();
        show();
      } catch (error) {
        if (mine === turn) going.replaceChildren(failed(error));
      }
    };

    const list = step(async () => {
      const said = await act("sticks", {});
      return () => say("Which stick?", counter.sticks(said, choose));
    });
    const choose = step(async (number) => {
      if (drop) await act("leave", {drop}).catch(() => {});
      drop = (await act("stick", {number})).drop;
      const said = await wait(going, "Looking through it", ["nothing was written", "choose the stick again"], "slots", {drop});
      return () => say("Which slot is written to?", counter.slots(said, words.machine, show, "Choose"));
    });
    const show = step(async (slot) => {
      const said = await wait(going, "Looking at it", ["nothing was written", "choose the slot again"], "target", {drop, slot, machine: words.machine});
      return () => say("Slot " + slot + " of " + said.answer.path + " holds now", confirm(said));
    });

    function confirm(said) {
      const {slot} = said.answer;
      const typed = el("input", {type: "text", maxlength: 80, required: true, autocomplete: "off", autocapitalize: "none", spellcheck: "false"});
      const shorten = check("Shorten the names that a floppy cannot hold");
      const consent = counter.consent(backup);
      const come = el("div.said", {role: "status"});
      const submit = el("button.do", {type: "submit"}, "Write to slot " + slot.slot);
      shorten.label.hidden = true;
      const again = () => el("button", {type: "button", onclick: () => show(slot.slot)}, "Look at the slot again");
      const over = check("Write over it all the same: another machine\u2019s files are to go");
      over.box.required = Boolean(said.another);
      const another = said.another ? el("p.reason", {}, "This slot is not of " + words.machine + ": " + said.another + ".") : "";
      return [another, slot.label ? el("p", {}, "Label ", el("code", {}, slot.label)) : "", holds(slot), el("details", {}, el("summary", {}, "The same as the terminal says it"), el("pre", {}, said.text)),
        el("form.act", {onsubmit: async (event) => {
          event.preventDefault();
          submit.disabled = start.disabled = true;
          hold(true);
          try {
            const done = await wait(come, "Writing, and reading it back", ["the slot may show no files now; what it held is stored beside the image, or for a stick in the folder that keepway counter was started in", "look at the slot again, and write again"], "write",
              {...words, drop, typed: typed.value.trim(), accept: consent.accept(), overwrite: over.box.checked, short_names: shorten.box.checked});
            found.querySelector("h3").textContent = "Slot " + slot.slot + " of " + said.answer.path + " held";
            come.replaceChildren(...counter.written(done), again());
            start.disabled = false;
            return;
          } catch (error) {
            consent.hear(error);
            if (/--short-names/.test(error.remedy || "")) shorten.label.hidden = false;
            come.replaceChildren(failed(error, counter.ofRestore), again());
          } finally {
            hold(false);
          }
          submit.disabled = start.disabled = false;
        }}, el("h4", {}, "Write over it?"), el("p", {}, "What it holds is stored first, and the answer says where."), field("The machine\u2019s name, to confirm it", typed, "Type " + words.machine), said.another ? over.label : "", consent.nodes, shorten.label, submit, come)];
    }
    return [el("div.buttons", {}, start), going, found];
  };
})();
