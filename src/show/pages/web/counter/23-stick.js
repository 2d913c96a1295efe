// The sticks that are plugged in, and the slots on one, or on its image: one is chosen.
(() => {
  const {el, count} = keepway;
  const size = (bytes) => bytes < 1e9 ? (bytes / 1e6).toFixed(1) + " MB" : (bytes / 1e9).toFixed(1) + " GB";

  // `choose(number)`: it is to be looked at.
  counter.sticks = ({answer, text}, choose) => answer.sticks.length === 0
    ? el("p", {}, text.trim() + " One that the computer shows as a folder: choose that folder.")
    : el("ul.sticks", {}, answer.sticks.map((s) => el("li", {}, el("button", {type: "button", onclick: () => choose(s.number)}, "Look at " + s.path),
      el("span", {}, [size(s.bytes), s.model, ...s.mounted_at.map((where) => "mounted at " + where)].filter(Boolean).join(", ")))));

  const holds = {blank: "not formatted, blank", data: "no volume but data: not formatted, or its boot sector is damaged", unreadable: "cannot be read"};
  const state = (s) => s.holds ? [holds[s.holds]] : [
    s.full ? "full: the control may have run out of space" : "", s.deleted.length > 0 ? count(s.deleted.length, "deleted file", "deleted files") : "",
    ...s.flaws.map((f) => (f.file ? f.file + ": " : "") + f.what), s.files.length > 0 ? "" : "formatted, no files"].filter(Boolean);
  const newest = (s) => s.files.map((f) => f.modified || "").reduce((a, b) => (a > b ? a : b), "");

  // Those of the machine `of` first, then those with files. `choose(slot)`; `verb`: what that is called.
  counter.slots = ({answer, text}, of, choose, verb = "Look at") => {
    const places = answer.without_volume.map((p) => ({...p, files: [], deleted: [], flaws: [], label: "", machine: "", says: ""}));
    const rank = (s) => (s.holds ? 3 : s.files.length === 0 ? 2 : s.machine === of ? 0 : 1);
    const rows = [...answer.slots, ...places].sort((a, b) => rank(a) - rank(b) || a.slot - b.slot);
    return [keepway.table({caption: "Slots on " + answer.path, rows, size: 50, filter: rows.length > 10 ? "Find a slot" : undefined, empty: "No floppy-sized volume found.", columns: [
      {title: "slot", text: (s) => s.slot, cell: (s) => s.holds ? "Slot " + s.slot : el("button", {type: "button", onclick: () => choose(s.slot)}, verb + " slot " + s.slot)},
      {title: "seems to be", text: (s) => s.machine || (s.says ? "another machine: " + s.says : "")},
      {title: "label", text: (s) => s.label},
      {title: "newest file", class: "date", text: (s) => newest(s).slice(0, 10)},
      {title: "files", text: (s) => s.files.slice(0, 6).map((f) => f.name).join(", ") + (s.files.length > 6 ? " and " + (s.files.length - 6) + " more" : "")},
      {title: "state", text: (s) => state(s).join("; ")},
    ]}), answer.numbers_guessed ? el("p.reason", {}, "Too few places have a volume to know their distance: the emulator may show other numbers than these.") : "",
      el("details", {}, el("summary", {}, "The same as the terminal says it"), el("pre", {}, text.trimEnd()))];
  };
})();
