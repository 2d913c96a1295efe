// Copy a machine that is kept on another computer or a server: brought here once, the same by a sync from then on.
(() => {
  const {el} = keepway;
  const {field, check, says, failed} = counter;

  // What a person agrees to take of another computer, in the command's words.
  counter.takeOlder = () => check("Take an older repository as it is, with commits that a server\u2019s hook would refuse, or a branch that was rewritten there; what could do harm is still refused");
  counter.addressOfCopy = () => el("input", {type: "text", maxlength: 2000, autocomplete: "off", autocapitalize: "none", spellcheck: "false"});

  keepway.views.copy = async () => {
    const name = el("input", {type: "text", maxlength: 64, required: true, autocomplete: "off", autocapitalize: "none", spellcheck: "false"});
    const to = counter.addressOfCopy();
    to.required = true;
    const accept = counter.takeOlder();
    const come = el("div.said", {role: "status"});
    const submit = el("button.do", {type: "submit"}, "Copy it here");
    const form = el("form.act", {onsubmit: async (event) => {
      event.preventDefault();
      submit.disabled = true;
      try {
        const said = await counter.wait(come, "Copying it", ["it may have been copied just before", "copy it again: if it is here already, that is said then"], "copy", {name: name.value.trim(), to: to.value.trim(), accept: accept.box.checked});
        counter.changed();
        come.replaceChildren(says(said));
        form.replaceChildren(el("h2", {tabindex: "-1"}, "Copied"), come, el("p.acts", {}, el("a.do", {href: "machines/" + encodeURIComponent(said.enrolled) + "/index.html"}, "Look at " + said.enrolled)));
        form.querySelector("h2").focus();
        return;
      } catch (error) {
        come.replaceChildren(failed(error, {accept: "Take an older repository as it is"}));
      }
      submit.disabled = false;
    }}, field("Short name here", name, "Letters, digits, - _ . as in: mill-2"), field("Address of the other copy", to, "A server, or a folder, as in: ssh://git@server/mill-2.git or /media/stick/mill-2.git"), accept.label, submit, come);
    return [el("p", {}, el("a", {href: "#/"}, "All machines")), el("h1", {}, "Copy a machine here"), el("p", {}, "For a machine that another computer keeps already: its whole history is brought here, and looked through before it is believed. From then on both are made the same on its page Care."), form];
  };
  const enroll = keepway.acts.shop;
  keepway.acts.shop = (shop) => [el("p.acts", {}, enroll(shop), el("a.do", {href: "#/copy"}, "Copy one that is kept elsewhere"))];
})();
