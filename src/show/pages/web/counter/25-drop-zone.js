// Where a backup is dropped or chosen: it is sent, with how far it is, and looked at. Nothing is stored by that.
//   title, hint: what is to be dropped
//   of: the machine that it is to be of
//   drop: what was dropped before, and is looked at again
//   isDated: whether its date matters
//   look(zone): asks what it is worth, by zone.ask(), and gives the nodes that say so; zone.asked() is
//   what it sends
counter.dropZone = ({title, hint, of, drop, isDated = true, look}) => {
  const {el, count} = keepway;
  const {field, check, failed} = counter;
  const found = el("div.found", {});
  const going = el("div.going", {role: "status"});
  const at = el("input", {type: "text", placeholder: "2026-03-01"});
  const slot = el("input", {type: "number", min: 1, max: 100000});
  const recover = check("Also read deleted files of a floppy image, where they are still whole");
  const me = {drop: drop || "", found, going};
  let isBusy = false;

  me.asked = () => ({drop: me.drop, at: at.value.trim(), slot: slot.value ? Number(slot.value) : null, recover: recover.box.checked});
  me.leave = async () => {
    if (me.drop) await counter.act("leave", {drop: me.drop}).catch(() => {});
    me.drop = "";
  };
  me.left = async () => {
    await me.leave();
    found.replaceChildren();
    going.replaceChildren(el("p", {}, "Left. Nothing was stored."));
  };
  me.ask = (name, words) => counter.wait(going, "Looking at it", ["nothing was stored", "look at it again"], name, words);
  const show = async () => {
    const nodes = await look(me);
    going.replaceChildren();
    found.replaceChildren(...[nodes].flat(Infinity).filter(Boolean));
    found.querySelector("h2").focus();
  };
  // An image with many floppies: those that have files, this machine's first.
  async function slots() {
    const {answer} = await counter.act("slots", {drop: me.drop});
    const rows = answer.slots.filter((s) => s.files.length > 0).sort((a, b) => (b.machine === of) - (a.machine === of) || a.slot - b.slot);
    const newest = (s) => s.files.map((f) => f.modified || "").reduce((a, b) => (a > b ? a : b), "");
    return keepway.table({caption: "Slots with files", rows, size: 50, filter: rows.length > 10 ? "Find a slot" : undefined, columns: [
      {title: "slot", cell: (s) => el("button", {type: "button", onclick: () => {
        slot.value = s.slot;
        me.look();
      }}, "Look at slot " + s.slot)},
      {title: "seems to be", text: (s) => s.machine},
      {title: "label", text: (s) => s.label},
      {title: "newest file", class: "date", text: (s) => newest(s).slice(0, 10)},
      {title: "files", text: (s) => s.files.slice(0, 6).map((f) => f.name).join(", ") + (s.files.length > 6 ? " and " + (s.files.length - 6) + " more" : "")},
    ]});
  }
  async function fail(error) {
    going.replaceChildren(failed(error), me.drop ? me.again() : "");
    found.replaceChildren();
    if (me.drop && /--slot N/.test(error.remedy || "")) going.append(await slots().catch(failed));
  }
  me.look = () => show().catch(fail);
  me.again = () => el("button", {type: "button", onclick: me.look}, "Look at it again");

  async function take(what) {
    if (isBusy) return;
    isBusy = true;
    const stop = new AbortController();
    const bar = el("progress", {max: 1, value: 0, "aria-label": "Sent"});
    const text = el("p", {}, "Reading what was dropped.");
    found.replaceChildren();
    going.replaceChildren(text, bar, el("button", {type: "button", onclick: () => stop.abort()}, "Stop"));
    try {
      await me.leave();
      const chosen = await what;
      me.drop = await counter.files.send(chosen, (sent, of, files) => {
        bar.max = of || 1;
        bar.value = sent;
        text.textContent = count(files, "file", "files") + " of " + chosen.files.length.toLocaleString("en") + ", " + (sent / 1048576).toFixed(1) + " of " + (of / 1048576).toFixed(1) + " MiB";
      }, stop.signal);
      await show();
    } catch (error) {
      if (error.name === "AbortError") going.replaceChildren(el("p", {}, "Stopped. Nothing was stored."));
      else fail(error);
    } finally {
      isBusy = false;
    }
  }

  const chooser = (name, more) => {
    const input = el("input.unseen", {type: "file", multiple: true, ...more, onchange: () => {
      if (input.files.length > 0) take(Promise.resolve(counter.files.ofFiles([...input.files])));
      input.value = "";
    }});
    return el("label.choose-files", {}, input, name);
  };
  const area = el("div.drop", {
    ondragover: (event) => {
      event.preventDefault();
      area.classList.add("over");
    },
    ondragleave: () => area.classList.remove("over"),
    ondrop: (event) => {
      event.preventDefault();
      area.classList.remove("over");
      take(counter.files.ofDrop(event.dataTransfer));
    },
  }, el("p.first", {}, title), el("p", {}, hint),
    el("div.buttons", {}, chooser("Choose a folder", {webkitdirectory: true}), chooser("Choose files, an image or an archive", {})));
  me.nodes = [area, el("details.more", {}, el("summary", {}, (isDated ? "Date, slot" : "Slot") + " of a stick\u2019s image, deleted files"), isDated ? field("When it was taken", at, "Empty: the date of its newest file") : "",
    field("Slot of an image with many floppies", slot, "Empty: there is one"), recover.label), going, found];
  if (me.drop) me.look();
  return me;
};
