// What is said of a stored backup: its mark, that it is not to be used, a wrong date or name.
keepway.acts.backup = (machine, b) => {
  const {el} = keepway;
  const {field, by, form, act} = counter;
  const text = (value, more) => {
    const input = el("input", {type: "text", maxlength: 400, ...more});
    input.value = value;
    return input;
  };
  const of = {machine: machine.machine, backup: b.commit};
  const name = text("", {required: true, maxlength: 80});
  const marker = by();
  const why = text("", {required: true});
  const speaker = by();
  const at = text(keepway.dayOf(b.at));
  const taken = text(b.by, {maxlength: 80});
  const note = el("textarea", {rows: 2, maxlength: 2000});
  note.value = b.note;
  const corrector = by();
  const undoer = by();
  // What is not touched is not said: it stays as it reads.
  const said = () => ({...of, by: corrector.value.trim(), ...(at.value.trim() === keepway.dayOf(b.at) ? {} : {at: at.value.trim()}),
    ...(taken.value === b.by ? {} : {taken_by: taken.value}), ...(note.value === b.note ? {} : {note: note.value})});
  const own = {undo: b.withdrawn ? "Use it again" : "Read it as it was stored"};
  const say = (title, fields, button, name, words) => form(title, fields, button, () => act(name, words()), {done: counter.renew, own});
  const marks = b.marks.map((old) => {
    const other = text("", {required: true, maxlength: 80});
    const renamer = by();
    return [say("Mark \u201c" + old + "\u201d", [field("Its new name", other), field("Who", renamer)], "Rename it", "mark", () => ({machine: of.machine, name: old, rename: other.value.trim(), by: renamer.value.trim()})),
      say("Take mark \u201c" + old + "\u201d away", [], "Take it away", "mark", () => ({machine: of.machine, name: old, remove: true}))];
  });
  return [counter.outcome(), el("details.acts", {}, el("summary", {}, "Mark, withdraw or correct this backup"), el("h2.unseen", {}, "What is said of this backup"), el("div.forms", {},
    say("Mark it", [field("Name", name, "As in: known good"), field("Who", marker)], "Mark it", "mark", () => ({machine: of.machine, at: b.commit, name: name.value.trim(), by: marker.value.trim()})),
    b.withdrawn
      ? say("Use it again", [field("Who", speaker)], "Use it again", "withdraw", () => ({...of, undo: true, by: speaker.value.trim()}))
      : say("Withdraw it: it is not to be used", [field("Why", why), field("Who", speaker)], "Withdraw it", "withdraw", () => ({...of, why: why.value.trim(), by: speaker.value.trim()})),
    say("Correct it", [field("When it was taken", at), field("Who took it", taken), field("Note", note), field("Who corrects it", corrector)], "Correct it", "correct", said),
    b.corrected ? say("Read it as it was stored", [field("Who", undoer)], "Take the correction back", "correct", () => ({...of, undo: true, by: undoer.value.trim()})) : "", marks))];
};
