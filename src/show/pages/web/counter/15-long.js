// What takes its time: the counter begins it beside the pages, and it is asked for until it has ended.
(() => {
  const {el} = keepway;
  const {act} = counter;
  const error = (what, remedy, more) => Object.assign(new Error(what), {remedy, ...more});

  // How far it is, in the words of the terminal's line, and a button that ends it.
  counter.gauge = (title, stop) => {
    const bar = el("progress", {"aria-label": title});
    const line = el("p", {}, title + ".");
    const nodes = [line, bar, el("button", {type: "button", onclick: stop}, "Stop")];
    const show = ({stage, done, of}) => {
      line.textContent = stage ? stage[0].toUpperCase() + stage.slice(1) + (done > 0 ? ": " + done.toLocaleString("en") + (of > 0 ? " of " + of.toLocaleString("en") : "") : ".") : title + ".";
      if (of > 0) {
        bar.max = of;
        bar.value = done;
      } else {
        bar.removeAttribute("value");
      }
    };
    return {nodes, show};
  };

  // The answer of an act, waited for in `place`, where it can be stopped. `stopped`: what that leaves, and what to do.
  counter.wait = async (place, title, stopped, name, words) => {
    const stop = new AbortController();
    const gauge = counter.gauge(title, () => stop.abort());
    if (!place.closest("[role=status]")) gauge.nodes[0].setAttribute("role", "status");
    place.replaceChildren(...gauge.nodes);
    const begun = await act(name, words);
    if (!begun.going) return begun;
    for (let pause = 25;; pause = Math.min(400, pause * 2)) {
      if (stop.signal.aborted) {
        await act("stop", begun.going);
        throw error(stopped[0], stopped[1], {isStop: true});
      }
      const now = await act("work", begun.going);
      if (!now.going) {
        if (now.said === null) throw error("it ended without an answer; " + stopped[0], stopped[1]);
        if (now.said.error) throw error(now.said.error.what, now.said.error.remedy);
        return now.said;
      }
      gauge.show(now);
      await Promise.race([new Promise((done) => setTimeout(done, pause)), new Promise((done) => stop.signal.addEventListener("abort", done, {once: true}))]);
    }
  };
})();
