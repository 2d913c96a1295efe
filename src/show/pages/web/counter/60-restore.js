// Put a state back, as a list to go through: which backup, what of it, what it will do, and the files.
(() => {
  const {el, time, count} = keepway;
  const {field, check, says, failed} = counter;

  keepway.views.restore = async (machine) => {
    if (machine.at.length === 0) return [el("h1", {}, "Put a state back"), el("p", {}, "No backups yet.")];
    const most = 300;
    const places = machine.at.map((_, i) => i).sort((a, b) => machine.at[b] - machine.at[a] || b - a).slice(0, most);
    const letter = (i) => machine.worth[i];
    const select = el("select", {}, places.map((i) => el("option", {value: keepway.name(machine, i)}, keepway.name(machine, i) + ", " + time(machine.at[i]) + ", " +
      keepway.worthOf(letter(i)) + (letter(i) === letter(i).toLowerCase() ? "" : ", accepted") + (keepway.isWithdrawn(machine, i) ? ", withdrawn" : ""))));
    if (machine.good !== null) select.value = keepway.name(machine, machine.good);
    const other = el("input", {type: "text", maxlength: 200});
    const radio = (name, value, title, on) => el("label", {}, el("input", {type: "radio", name, value, checked: on}), title);
    const what = el("fieldset.choices", {}, el("legend", {}, "What"), radio("what", "", "all of it", true), machine.groups.map((g) => radio("what", g.name, g.name + " alone")));
    const plan = el("div.plan", {});
    const chosen = () => ({machine: machine.machine, at: other.value.trim() || select.value, only: what.querySelector("input:checked").value});

    const save = (name, bytes) => {
      const link = el("a.do", {href: URL.createObjectURL(bytes), download: name}, "Save " + name + " again");
      link.click();
      return el("p", {}, "Saved as ", el("code", {}, name), ", " + count(bytes.size, "byte", "bytes") + ". ", link);
    };

    function ask(words, said) {
      const b = said.answer.backup;
      const accept = check("Put it back although it is " + (b.withdrawn ? "withdrawn" : b.verdict) + ": I have read why");
      const form = el("fieldset.choices", {}, el("legend", {}, "As"), radio("form", "zip", "a zip archive", true), radio("form", "img", "a floppy image of 1.44 MB"));
      const come = el("div.said", {role: "status"});
      const make = el("button.do", {type: "submit"}, "Make the files");
      const read = check("I have read the cautions");
      read.box.required = true;
      return [el("h2", {tabindex: "-1"}, "3. What it will do"),
        el("section.cautions", {}, el("h3", {}, "Before you load it"), el("ul", {}, said.answer.cautions.map((c) => el("li", {}, c)))),
        el("pre.plan", {}, said.text.trimEnd()),
        el("form.act", {onsubmit: async (event) => {
          event.preventDefault();
          make.disabled = true;
          come.replaceChildren(el("p", {}, "Making them."));
          try {
            const done = await counter.act("restore", {...words, at: b.commit, accept: accept.box.checked, form: form.querySelector("input:checked").value});
            const bytes = await (await counter.post("made", "")).blob();
            come.replaceChildren(save(done.made, bytes), says(done));
          } catch (error) {
            come.replaceChildren(failed(error));
          }
          make.disabled = false;
        }}, el("h2", {}, "4. The files"), form, read.label, b.verdict !== "good" || b.withdrawn ? accept.label : "", make, come)];
    }

    const see = el("button.do", {type: "submit"}, "See what it will do");
    return [el("h1", {}, "Put a state back"), el("form.act", {onsubmit: async (event) => {
      event.preventDefault();
      see.disabled = true;
      plan.replaceChildren(el("p", {role: "status"}, "Comparing with what the machine holds."));
      try {
        const words = chosen();
        const said = await counter.act("plan", words);
        plan.replaceChildren(...ask(words, said));
        plan.querySelector("h2").focus();
      } catch (error) {
        plan.replaceChildren(failed(error));
      }
      see.disabled = false;
    }}, el("h2", {}, "1. Which backup"), field("Backup", select), field("Or another", other, "Its number, a date or a mark, as in: known good"), el("h2", {}, "2. What of it"), what, see), plan];
  };
  keepway.acts.pages.push(["Put back", "restore"]);
})();
