// What takes long, for a machine as a whole: begun, looked at while it goes on, stopped; its answer is there for
// whoever looks next. `words()`: what is sent besides the machine; `called`: what the command's options are called here.
counter.work = (machine, what, {title, text, button, fields = [], words = () => ({}), called}) => {
  const {el} = keepway;
  const {says, failed, act} = counter;
  const mine = what + " " + machine.machine;
  const shown = el("div.said", {role: "status"});
  const gauge = counter.gauge("Working", async () => {
    await act("stop", {}).catch(() => {});
    isStopped = true;
  });
  const begin = el("button.do", {type: "submit"}, button);
  let isStopped = false;

  async function follow() {
    begin.disabled = true;
    try {
      for (;;) {
        const now = await act("work", {});
        if (now.what !== mine || (!now.going && now.said === null)) {
          shown.replaceChildren(isStopped ? el("p", {}, "Stopped.") : failed(Object.assign(new Error("it ended without an answer"), {remedy: "begin it again"})));
          break;
        }
        if (!now.going) {
          shown.replaceChildren(now.said.error ? failed(Object.assign(new Error(now.said.error.what), {remedy: now.said.error.remedy}), called) : says(now.said, called));
          if (what === "sync") counter.changed();
          break;
        }
        gauge.show(now);
        if (!gauge.nodes[0].isConnected) shown.replaceChildren(...gauge.nodes);
        await new Promise((done) => setTimeout(done, 400));
        if (!shown.isConnected) return;
      }
    } catch (error) {
      shown.replaceChildren(failed(error));
    }
    begin.disabled = false;
  }
  // Begun before this page was loaded, or in another window.
  act("work", {}).then((now) => {
    if (now.what === mine && (now.going || now.said)) follow();
  }).catch(() => {});

  return [el("h2", {}, title), el("form.act", {onsubmit: async (event) => {
    event.preventDefault();
    begin.disabled = true;
    isStopped = false;
    try {
      await act(what, {machine: machine.machine, ...words()});
      await follow();
    } catch (error) {
      shown.replaceChildren(failed(error, called));
      begin.disabled = false;
    }
  }}, el("p", {}, text), fields, begin, shown)];
};
