// The rest of what is done here, and what is still done at the terminal, with what to type.
(() => {
  const {el} = keepway;
  const {field, by, form, act, failed} = counter;

  async function reasons(machine) {
    const list = el("div", {});
    const show = (said) => {
      const rows = said.answer.reasons;
      list.replaceChildren(rows.length === 0 ? el("p", {}, "No accepted reasons.") : el("ol.reasons", {}, rows.map((r, i) => {
        const why = el("input", {type: "text", maxlength: 400});
        const who = by();
        return el("li", {}, r.what, el("p.note", {}, "since #" + r.since + ", accepted by " + r.by + " on " + r.accepted_at.slice(0, 10)),
          el("details", {}, el("summary", {}, "Take it back"), form("The next backup that has it is doubtful again", [field("Why", why), field("Who", who)], "Take it back", async () => {
            // Its number may have moved: somebody else may have taken one back, or a backup brought one.
            const now = (await act("reasons", {machine: machine.machine})).answer.reasons;
            const back = now.findIndex((each) => each.code === r.code && each.spot === r.spot) + 1;
            if (back === 0) throw Object.assign(new Error("this reason is no longer accepted"), {remedy: "load the page again"});
            return act("reasons", {machine: machine.machine, back, why: why.value.trim(), by: who.value.trim()});
          })));
      })));
    };
    try {
      show(await act("reasons", {machine: machine.machine}));
    } catch (error) {
      list.replaceChildren(failed(error));
    }
    return [el("h2", {}, "Accepted reasons"), el("p", {}, "A backup that has these alone is good."), list];
  }

  function battery(machine) {
    const changed = el("input", {type: "date", required: true});
    changed.value = keepway.day(Date.now() / 1000);
    const months = el("input", {type: "number", min: 1, max: 1200});
    return [el("h2", {}, "Battery"), form("It was changed", [field("On", changed), field("It lasts, in months", months, "Empty: as it is")], "Write it down",
      () => act("battery", {machine: machine.machine, changed: changed.value, months: Number(months.value || 0)}))];
  }

  function sharing(machine) {
    const to = counter.addressOfCopy();
    const accept = counter.takeOlder();
    return counter.work(machine, "sync", {title: "Sync", button: "Share with the other copy", text: "Makes this machine\u2019s history and that of its other computer or server the same.",
      fields: [field("Address of the other copy", to, "The first time, or for another one, as in: ssh://git@server/" + machine.machine + ".git. Empty: the one that it has"), accept.label],
      called: {accept: "Take an older repository as it is"}, words: () => ({to: to.value.trim(), accept: accept.box.checked})});
  }

  // [what it is for, the command]
  const terminal = (name) => [
    ["Make empty slots on a stick", "keepway slots /dev/sdb --prepare 10 --spacing 1572864"],
    ["Take in a drawer of old backups", "keepway pile " + name + " /media/drawer"],
    ["Name many items at once, in a spreadsheet", "keepway names " + name + " export"],
    ["Add a machine by a layout that is there", "keepway enroll mill-2 --layout LAYOUT.toml"],
    ["Repair damage from a copy", "keepway audit " + name + " --from /media/stick/" + name],
  ];

  keepway.views.care = async (machine) => [el("h1", {}, "Battery, reasons, audit, sharing"), battery(machine), await reasons(machine),
    counter.work(machine, "audit", {title: "Audit", button: "Check everything", text: "Reads everything that is stored again, and compares it with its digests. It changes nothing, and takes minutes where there are many backups."}),
    sharing(machine),
    el("h2", {}, "At the terminal"), el("p", {}, "What is not done here, with the command to type in the shop\u2019s folder:"),
    el("dl.terminal", {}, terminal(machine.machine).map(([what, command]) => [el("dt", {}, what), el("dd", {}, el("code", {}, command))]))];
  keepway.acts.pages.push(["Care", "care"]);
})();
