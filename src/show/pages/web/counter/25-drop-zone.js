// Where a backup is dropped or chosen, or a stick that has it: it is sent, with how far it is, and looked at. Nothing is
// stored by that.
//   title, hint: what is to be dropped
//   of: the machine that it is to be of
//   drop: what was dropped before, and is looked at again
//   isDated: whether its date matters
//   date: the one that was given before
//   look(zone): asks what it is worth, by zone.ask(), and gives the nodes that say so; zone.asked() is
//   what it sends
counter.dropZone = ({title, hint, of, drop, date, isDated = true, look}) => {
  const {el, count} = keepway;
  const {field, check, failed} = counter;
  const found = el("div.found", {});
  const going = el("div.going", {role: "status"});
  const at = el("input", {type: "text", placeholder: "2026-03-01"});
  at.value = date || "";
  const slot = el("input", {type: "number", min: 1, max: 100000});
  const recover = check("Also read deleted files of a floppy image, where they are still whole");
  const me = {drop: drop || "", found, going};
  let isBusy = false;
  let chosen = "";  // the slot, from the list: it is of that medium alone

  me.asked = () => ({drop: me.drop, at: at.value.trim(), slot: slot.value ? Number(slot.value) : null, recover: recover.box.checked});
  // Looked at again, as of another date.
  me.dateIt = (value) => {
    at.value = value;
    return me.look();
  };
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
  // Of a stick or an image with many floppies. `why`: what came of looking at it without a slot, or with another.
  async function slots(why) {
    const said = await me.ask("slots", {drop: me.drop});
    const there = said.answer.slots;
    if (!why && there.length === 1) return choose(there[0].slot);
    going.replaceChildren(why ? failed(why) : "");
    found.replaceChildren(el("h2", {tabindex: "-1"}, "Which slot?"), ...counter.slots(said, of, choose));
    found.querySelector("h2").focus();
  }
  async function choose(number) {
    slot.value = chosen = String(number);
    await me.look();
  }
  async function fail(error) {
    found.replaceChildren();
    if (me.drop && /--slot N/.test(error.remedy || "")) return slots(error).catch(fail);
    going.replaceChildren(failed(error), me.drop ? me.again() : "");
  }
  me.look = () => show().catch(fail);
  me.again = () => el("button", {type: "button", onclick: me.look}, "Look at it again");

  async function leaveForAnother() {
    await me.leave();
    if (slot.value === chosen) slot.value = "";
    chosen = "";
    found.replaceChildren();
  }
  async function plugged() {
    if (isBusy) return;
    try {
      const said = await counter.act("sticks", {});
      await leaveForAnother();
      going.replaceChildren(el("h2", {}, "Sticks that are plugged in"), counter.sticks(said, stick));
    } catch (error) {
      fail(error);
    }
  }
  async function stick(number) {
    try {
      await leaveForAnother();
      me.drop = (await counter.act("stick", {number})).drop;
      await slots();
    } catch (error) {
      fail(error);
    }
  }

  async function take(what) {
    if (isBusy) return;
    isBusy = true;
    const stop = new AbortController();
    const bar = el("progress", {max: 1, value: 0, "aria-label": "Sent"});
    const text = el("p", {}, "Reading what was dropped.");
    going.replaceChildren(text, bar, el("button", {type: "button", onclick: () => stop.abort()}, "Stop"));
    try {
      await leaveForAnother();
      const files = await what;
      me.drop = await counter.files.send(files, (sent, of, i) => {
        bar.max = of || 1;
        bar.value = sent;
        text.textContent = count(i, "file", "files") + " of " + files.files.length.toLocaleString("en") + ", " + (sent / 1048576).toFixed(1) + " of " + (of / 1048576).toFixed(1) + " MiB";
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
    el("div.buttons", {}, chooser("Choose a folder", {webkitdirectory: true}), chooser("Choose files, an image or an archive", {}),
      el("button.choose-files", {type: "button", onclick: plugged}, "Choose a stick that is plugged in")));
  me.nodes = [area, el("details.more", {}, el("summary", {}, (isDated ? "Date, slot" : "Slot") + " of a stick\u2019s image, deleted files"), isDated ? field("When it was taken", at, "Empty: the date of its newest file") : "",
    field("Slot of an image with many floppies", slot, "Empty: there is one"), recover.label), going, found];
  if (me.drop) me.look();
  return me;
};
