// Put a state back, as a list to go through: which backup, what of it, what it will do, the files, the steps at the
// machine, and the proof that it took them.
(() => {
  const {el, time, count} = keepway;
  const {field, check, by, says, failed} = counter;
  const radio = (name, value, title, on) => el("label", {}, el("input", {type: "radio", name, value, checked: on}), title);

  // The restore that was begun here: what it is of, and which steps are done. Kept by this browser, for whoever
  // goes to the machine and comes back.
  const key = (machine) => "keepway-restore-" + machine.machine;
  const begun = (machine) => {
    try {
      return JSON.parse(localStorage.getItem(key(machine)));
    } catch {
      return null;
    }
  };
  const keep = (machine, what) => {
    try {
      if (what) localStorage.setItem(key(machine), JSON.stringify(what));
      else localStorage.removeItem(key(machine));
    } catch {
      // ticked while the page is open, then
    }
  };

  const save = (name, bytes) => {
    const link = el("a.do", {href: URL.createObjectURL(bytes), download: name}, "Save " + name + " again");
    link.click();
    return el("p", {}, "Saved as ", el("code", {}, name), ", " + count(bytes.size, "byte", "bytes") + ". ", link);
  };

  // A place of the plan, and why the files cannot do it.
  const cannot = (list) => list.length === 0 ? "" : [el("h3", {}, "What it cannot do"), el("ul", {}, list.map((c) => el("li", {}, el("span.reason", {}, (c.address ? c.address + ": " : "") + c.why), el("p.note", {}, "do: " + c.remedy))))];
  const doubts = (backup) => [backup.withdrawn ? el("p.reason", {}, keepway.withdrawal(backup) + ". It is not to be used.") : "",
    backup.verdict === "good" ? "" : el("ul", {}, backup.reasons.map((r) => el("li.reason", {}, r)))];

  function plan(said) {
    const {backup, known, plan: planned, cautions, files, bytes, read_alike: sameReading, by_item: byItem} = said.answer;
    const isNothing = planned.values.length === 0 && planned.programs.length === 0;
    return [el("h2", {tabindex: "-1"}, "3. What it will do"),
      el("section.cautions", {}, el("h3", {}, "Before you load it"), el("ul", {}, cautions.map((c) => el("li", {}, c)))),
      el("p", {}, count(files, "file", "files") + ", " + count(bytes, "byte", "bytes") + ", " + (byItem ? "with single items as in backup " : "as in backup "), keepway.link(backup.name, "backup", backup.trial ? backup.name : backup.number || backup.name), ", " + backup.verdict + "."), doubts(backup),
      byItem && known.commit !== backup.commit ? [el("p", {}, "They go into the files of ", known.name + ", " + known.verdict + "."), doubts(known)] : "",
      el("h3", {}, "What it changes on the machine, as last known from " + known.name),
      sameReading ? "" : el("p.reason", {}, "The layout, units or serial were changed between the two: what is listed here may be the same bytes read in another way."),
      isNothing ? el("p", {}, "Nothing: the machine holds it already.") : counter.changes(planned), cannot(planned.cannot),
      el("details", {}, el("summary", {}, "The same as the terminal says it"), el("pre", {}, said.text.trimEnd()))];
  }

  function files(words, backup, hold) {
    const consent = counter.consent(backup);
    const form = el("fieldset.choices", {}, el("legend", {}, "As"), radio("form", "zip", "a zip archive", true), radio("form", "img", "a floppy image of 1.44 MB"));
    const come = el("div.said", {role: "status"});
    const make = el("button.do", {type: "submit"}, "Make the files");
    return [el("h2", {}, "4. The files"), el("form.act", {onsubmit: async (event) => {
      event.preventDefault();
      make.disabled = true;
      hold(true);
      try {
        const done = await counter.wait(come, "Making the files", ["no files were made", "make them again"], "restore", {...words, accept: consent.accept(), form: form.querySelector("input:checked").value});
        const bytes = await (await counter.post("made", "")).blob();
        come.replaceChildren(save(done.made, bytes), ...counter.written(done));
      } catch (error) {
        consent.hear(error);
        come.replaceChildren(failed(error, counter.ofRestore));
      } finally {
        hold(false);
      }
      make.disabled = false;
    }}, form, consent.nodes, make, come), counter.stickWriter(words, backup, hold)];
  }

  function steps(machine, words, said) {
    const before = begun(machine);
    const same = before && JSON.stringify([before.at, before.only]) === JSON.stringify([words.at, words.only]);
    const kept = {at: words.at, only: words.only, name: said.answer.backup.name, done: same ? before.done : []};
    const progress = el("p.quiet", {role: "status"});
    const list = said.answer.checklist;
    const boxes = list.map((step) => {
      const {box, label} = check(counter.words(step));
      box.checked = kept.done.includes(step);
      box.addEventListener("change", () => {
        kept.done = list.filter((_, i) => boxes[i].box.checked);
        keep(machine, kept);
        say();
      });
      return {box, label};
    });
    const say = () => {
      const open = boxes.filter((b) => !b.box.checked).length;
      progress.textContent = open === 0 ? "All steps are done." : count(open, "step is", "steps are") + " left.";
    };
    say();
    return [el("h2", {}, "5. At the machine"), el("p", {}, "Tick each off when it is done. This browser remembers them."), el("ol.steps", {}, boxes.map((b) => el("li", {}, b.label))),
      said.answer.leave ? el("p.reason", {}, said.answer.leave) : "", progress];
  }

  // What there is to say first: that it proves nothing, or is no backup of this machine, then what it holds.
  function outcome(said) {
    const {verdict, confirmed} = said.answer;
    const title = said.refused ? said.refused.what[0].toUpperCase() + said.refused.what.slice(1) : verdict.worth === "refused" ? "This backup is refused, and proves nothing"
      : confirmed ? "The machine holds what was meant" : "The machine does not hold what was meant";
    const text = said.refused || verdict.worth === "refused" ? el("details", {}, el("summary", {}, "What it holds, compared with what was meant"), el("pre", {}, said.text.trimEnd()))
      : confirmed ? says(said) : el("div.warn", {}, says(said));
    return [el("h2", {tabindex: "-1"}, title), said.refused ? el("p", {}, "What to do: " + counter.words(said.refused.remedy)) : "", counter.reasons(verdict), text];
  }

  function proof(machine, words) {
    async function look(zone) {
      const asked = {...words, at: undefined, against: words.at};
      const said = await zone.ask("confirm", {...asked, ...zone.asked()});
      const who = by();
      const note = el("input", {type: "text", maxlength: 400});
      const {verdict, confirmed} = said.answer;
      const accept = check("Accept it as it is: I have read why, and it is right");
      const come = el("div.said", {role: "status"});
      const isRefused = verdict.worth === "refused" || said.refused;
      accept.box.required = Boolean(isRefused);
      const take = el("button.do", {type: "submit"}, confirmed && !isRefused ? "Take it in as the proof" : "Take it in all the same");
      const no = el("button", {type: "button", onclick: zone.left}, "Leave it");
      const form = el("form.act", {onsubmit: async (event) => {
        event.preventDefault();
        take.disabled = no.disabled = true;
        try {
          const stored = await counter.wait(come, "Taking it in", counter.whetherStored, "confirm", {...asked, drop: zone.drop, by: who.value.trim(), note: note.value.trim(), accept: accept.box.checked, store: true});
          come.replaceChildren(says(stored));
          if (stored.stored) {
            zone.drop = "";
            counter.changed();
            if (stored.answer.confirmed) keep(machine, null);
            form.replaceChildren(el("h2", {}, "Taken in"), come, el("p", {}, keepway.link("To the first page", "glance")));
            return;
          }
        } catch (error) {
          come.replaceChildren(failed(error), zone.again());
        }
        take.disabled = no.disabled = false;
      }}, el("h2", {}, "Take it in?"), field("Who took the backup", who), field("Why, in one line", note), verdict.worth !== "good" || isRefused ? accept.label : "", el("div.buttons", {}, take, no), come);
      const [title, ...rest] = outcome(said);
      return [title, counter.dateAgain(said, zone), rest, form];
    }
    return [el("h2", {}, "6. Did the machine take it?"), counter.dropZone({title: "Drop the machine\u2019s new backup here", of: machine.machine, look,
      hint: "A backup made after the load, onto an empty medium. It is compared with what was meant; nothing is stored until you say so."}).nodes];
  }

  keepway.views.restore = async (machine, ...address) => {
    if (machine.at.length === 0) return [el("h1", {}, "Put a state back"), el("p", {}, "No backups yet.")];
    const most = 300;
    const marks = (i) => machine.marks.filter((m) => m.backup === i).map((m) => m.name);
    const places = machine.at.map((_, i) => i).sort((a, b) => machine.at[b] - machine.at[a] || b - a).filter((i, n) => n < most || marks(i).length > 0);
    const letter = (i) => machine.worth[i];
    const select = el("select", {}, places.map((i) => el("option", {value: keepway.name(machine, i)}, keepway.name(machine, i) + ", " + time(machine.at[i]) + ", " +
      keepway.worthOf(letter(i)) + (letter(i) === letter(i).toLowerCase() ? "" : ", accepted") + (keepway.isWithdrawn(machine, i) ? ", withdrawn" : "") + marks(i).map((name) => ", \u201c" + name + "\u201d").join(""))));
    if (machine.good !== null) select.value = keepway.name(machine, machine.good);
    const named = el("datalist", {id: "marks"}, machine.marks.map((m) => el("option", {value: m.name})));
    const other = el("input", {type: "text", maxlength: 200, list: named.id, autocomplete: "off"});
    const planned = el("div.plan", {});
    // What is shown below is of what is chosen above, or it goes.
    let turn = 0;
    const forget = () => {
      ++turn;
      planned.replaceChildren();
      see.disabled = false;
    };
    select.addEventListener("change", () => {
      other.value = "";
      forget();
    });
    other.addEventListener("input", forget);
    const isOfBackup = address[0] === "at";
    const what = counter.chooser(machine, address.length > 1 && !isOfBackup ? [address.join("/")] : [], forget);
    if (isOfBackup) other.value = address[1] || "";

    const see = el("button.do", {type: "submit"}, "See what it will do");
    const choices = el("fieldset.plain", {});
    const hold = (on) => { choices.disabled = on; };
    const look = async () => {
      const mine = ++turn;
      see.disabled = true;
      try {
        if (what.missing()) throw Object.assign(new Error(what.missing()), {remedy: "choose one, or all of it"});
        const asked = {machine: machine.machine, at: other.value.trim() || select.value, only: what.only()};
        const said = await counter.wait(planned, "Comparing with what the machine holds", ["nothing was done", "ask for it again"], "plan", asked);
        if (mine !== turn) return;
        // By the commit from here on: a number names another backup where others come in.
        const words = {...asked, at: said.answer.backup.commit};
        planned.replaceChildren(...[plan(said), files(words, said.answer.backup, hold), steps(machine, words, said), proof(machine, words)].flat(Infinity).filter(Boolean));
        planned.querySelector("h2").focus();
      } catch (error) {
        if (mine === turn) planned.replaceChildren(failed(error, counter.ofRestore));
      }
      if (mine === turn) see.disabled = false;
    };
    const open = begun(machine);
    const goOn = open ? el("p.notice", {}, "A restore of " + open.name + (open.only.length > 0 ? " (" + open.only.join(", ") + ")" : "") + " was begun here, and the machine\u2019s new backup has not confirmed it yet. ",
      el("span.buttons", {}, el("button", {type: "button", onclick: () => {
        other.value = open.at;
        what.set(open.only);
        look();
      }}, "Go on with it"), el("button", {type: "button", onclick: (event) => {
        keep(machine, null);
        event.target.closest("p").remove();
      }}, "Forget it"))) : "";
    choices.append(el("h2", {}, "1. Which backup"), field("Backup", select), field("Or another", other, "Its number, a date or a mark, as in: known good"), named, el("h2", {}, "2. What of it"), ...what.nodes.flat(), see);
    return [el("h1", {}, "Put a state back"), goOn, el("form.act", {onsubmit: (event) => {
      event.preventDefault();
      look();
    }}, choices), planned];
  };
  keepway.acts.pages.push(["Put back", "restore"]);
  keepway.acts.item = (machine, address) => [el("p.acts", {}, el("a.do", {href: keepway.route("restore", ...address.split("/"))}, "Put an earlier value back"))];
})();
