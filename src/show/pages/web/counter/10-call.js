// How the pages ask for an act, and what they show of its answer. What was entered with is kept for this address
// and port alone.
const counter = (() => {
  const {el} = keepway;
  const kept = (name) => {
    try {
      return localStorage.getItem(name) || "";
    } catch {
      return "";
    }
  };
  const session = (() => {
    try {
      return JSON.parse(kept("keepway-counter")) || {};
    } catch {
      return {};
    }
  })();

  async function post(path, body, signal) {
    let reply;
    try {
      reply = await fetch("/" + path, {method: "POST", headers: {"X-Keepway-Token": session.token || ""}, body, signal});
    } catch (error) {
      if (error.name === "AbortError") throw error;
      throw Object.assign(new Error("keepway counter does not answer"), {remedy: "look whether it still runs in its terminal; what was asked for last may have been done: load the page again and look"});
    }
    if (!reply.ok) throw new Error(await reply.text());
    return reply;
  }
  async function answer(reply) {
    const said = await (await reply).json();
    if (said.error) throw Object.assign(new Error(said.error.what), {remedy: said.error.remedy});
    return said;
  }
  // What an act answers; for one that was not done an Error is thrown, with its remedy.
  const act = (name, words, signal) => answer(post("act/" + name, JSON.stringify(words), signal));

  let fields = 0;
  const field = (title, input, note) => {
    input.id = "field-" + ++fields;
    if (note) input.setAttribute("aria-describedby", input.id + "-note");
    return el("div.field", {}, el("label", {for: input.id}, title), input, note ? el("span.quiet", {id: input.id + "-note"}, note) : "");
  };
  const check = (title) => {
    const box = el("input", {type: "checkbox"});
    return {box, label: el("label.check", {}, box, el("span", {}, title))};
  };
  // Who is at the counter: asked for with each act, since the next may be another's. Whoever uses this computer, unless
  // another name is typed or chosen of those that were.
  const typed = el("datalist", {id: "typed-names"});
  const most = 8;
  const names = () => {
    try {
      return JSON.parse(kept("keepway-names")).filter((name) => typeof name === "string").slice(0, most);
    } catch {
      return [];
    }
  };
  function by() {
    const input = el("input", {type: "text", autocomplete: "off", list: typed.id, maxlength: 80, onchange: () => {
      const all = [...new Set([input.value.trim(), ...names()])].filter(Boolean);
      try {
        localStorage.setItem("keepway-names", JSON.stringify(all.slice(0, most)));
      } catch {
        // typed again, then
      }
      offer();
    }});
    input.value = session.who || "";
    offer();
    return input;
  }
  function offer() {
    typed.replaceChildren(...names().map((value) => el("option", {value})));
    if (!typed.isConnected) document.body.append(typed);
  }

  // The terminal's words name its options; here these are boxes and fields. A whole command stays one. `own`: what
  // they are called in one form alone.
  const called = {accept: "Accept it as it is", again: "Store it once more", at: "When it was taken", by: "Who took it", max: "upper limit", min: "lower limit", note: "Note", recover: "Also read deleted files",
    serial: "Serial number", "short-names": "Shorten the names that a floppy cannot hold", slot: "Slot of an image with many floppies", step: "largest step without a warning", title: "What people call it",
    to: "Address of the other copy", undo: "Use it again", unit: "unit", why: "Why"};
  const instead = [[/remove this mark with --remove, then give --at (\S+)/g, "take this mark away, and mark it on the page of #$1"],
    [/name one once: keepway sync \S+ --to URL/g, "fill in \u201cAddress of the other copy\u201d"],
    [/(and prove it): keepway confirm .*/g, "$1 below, under 6"],
    [/(rename (?:the old mark|yours)): keepway mark .*? --rename NEW/g, "$1 on the page of its backup"]];
  function words(text, own = {}) {
    const all = {...called, ...own};
    const whole = instead.reduce((said, [from, to]) => said.replace(from, to), text);
    return whole.replace(/(keepway [a-z-]+ [^;\n]*)|--([a-z][a-z-]*)(?:[ =](?:[A-Z]+|\d+)\b)?/g, (found, command, option) =>
      command || !Object.hasOwn(all, option) ? found : "\u201c" + all[option] + "\u201d");
  }
  const says = (said, own) => el("div.answer", {}, el("pre", {}, words(said.text.trimEnd(), own)), said.beside ? el("pre.reason", {}, words(said.beside.trimEnd(), own)) : "", said.more || "");
  const failed = (error, own) => el("div.answer.failed", {}, el("p", {}, el("strong", {}, error.isStop ? "Stopped: " : "Not done: "), words(error.message, own)), error.remedy ? el("p", {}, "What to do: " + words(error.remedy, own)) : "");

  // Something was stored: whatever is shown next is read again.
  let isChanged = false;
  function changed() {
    if (!isChanged) addEventListener("hashchange", () => location.reload());
    isChanged = true;
    keepway.acts.changed = true;
  }

  // The page is drawn again of what is stored now, with what was said at its top: see outcome().
  function renew(said) {
    keepway.leaving();
    keepway.remember("said", {text: said.text, beside: said.beside});
    keepway.remember("down", 0);
    location.reload();
  }
  function outcome() {
    const said = keepway.recall("said");
    if (said) keepway.remember("said", undefined);
    return said ? el("div.outcome", {role: "status"}, says(said)) : "";
  }

  // Fields, a button, and beneath it what came of it. `run` gives the answer of an act; `done` is given that instead;
  // `own`: what options are called in this form.
  function form(title, fields, button, run, {done, own} = {}) {
    const said = el("div.said", {role: "status"});
    const submit = el("button.do", {type: "submit"}, button);
    return el("form.act", {onsubmit: async (event) => {
      event.preventDefault();
      submit.disabled = true;
      try {
        const answered = await run();
        changed();
        if (done) done(answered);
        else said.replaceChildren(says(answered, own));
      } catch (error) {
        said.replaceChildren(failed(error, own));
      } finally {
        submit.disabled = false;
      }
    }}, el("h3", {}, title), fields, submit, said);
  }

  return {post, answer, act, field, check, by, words, says, failed, changed, renew, outcome, form};
})();
