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
  // Who is at the counter: asked for with each act, remembered for the next.
  function by() {
    const input = el("input", {type: "text", autocomplete: "name", maxlength: 80, onchange: () => {
      try {
        localStorage.setItem("keepway-who", input.value);
      } catch {
        // asked for again, then
      }
    }});
    input.value = kept("keepway-who") || session.who || "";
    return input;
  }

  // The terminal's words name its options.
  const options = (text) => /(^|[\s'])--[a-z]/.test(text) ? el("p.quiet", {}, "Words that begin with -- are options of the command at the terminal; in this form they are boxes and lists.") : "";
  const says = (said) => el("div.answer", {}, el("pre", {}, said.text.trimEnd()), said.beside ? [el("pre.reason", {}, said.beside.trimEnd()), options(said.beside)] : "");
  const failed = (error) => el("div.answer.failed", {}, el("p", {}, el("strong", {}, error.isStop ? "Stopped: " : "Not done: "), error.message), error.remedy ? el("p", {}, "What to do: " + error.remedy) : "", options(error.message + " " + (error.remedy || "")));

  // Something was stored: whatever is shown next is read again.
  let isChanged = false;
  function changed() {
    if (!isChanged) addEventListener("hashchange", () => location.reload());
    isChanged = true;
    keepway.acts.changed = true;
  }

  // Fields, a button, and beneath it what came of it. `run` gives the answer of an act.
  function form(title, fields, button, run) {
    const said = el("div.said", {role: "status"});
    const submit = el("button.do", {type: "submit"}, button);
    return el("form.act", {onsubmit: async (event) => {
      event.preventDefault();
      submit.disabled = true;
      try {
        said.replaceChildren(says(await run()));
        changed();
      } catch (error) {
        said.replaceChildren(failed(error));
      } finally {
        submit.disabled = false;
      }
    }}, el("h3", {}, title), fields, submit, said);
  }

  return {post, answer, act, field, check, by, options, says, failed, changed, form};
})();
