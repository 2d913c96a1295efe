// Data files call keepway.take(); pages ask for them by name. Everything goes into the page as text.
const keepway = (() => {
  const taken = new Map();
  const waiting = new Map();

  function take(name, json) {
    taken.set(name, json);
    const wait = waiting.get(name);
    if (wait) {
      waiting.delete(name);
      wait.done(json);
    }
  }

  // A data file by script tag: the only way that works from a disk. `fresh` names what it must belong to.
  function load(name, fresh, folder = "data/") {
    if (taken.has(name)) return Promise.resolve(taken.get(name));
    if (waiting.has(name)) return waiting.get(name).promise;
    const wait = {};
    wait.promise = new Promise((done, failed) => {
      wait.done = done;
      wait.failed = failed;
    });
    waiting.set(name, wait);
    const script = document.createElement("script");
    const tip = fresh || (taken.get("machine") || {}).tip;
    script.src = folder + name + ".js" + (tip ? "?of=" + tip : "");
    script.onerror = () => {
      waiting.delete(name);
      wait.failed(new Error(folder + name + ".js cannot be read; make the report again"));
    };
    script.onload = () => script.remove();
    document.head.append(script);
    return wait.promise;
  }

  // What is known of two machines side by side, from the list of machines; read again each time.
  function loadTwins(a, b) {
    const name = "twins/" + a + "/" + b + "/twins";
    taken.delete(name);
    return load(name);
  }

  // el("a.name", {href: "#/"}, "text", child …): texts stay texts.
  function el(what, attributes, ...children) {
    const [tag, ...classes] = what.split(".");
    const node = document.createElement(tag);
    if (classes.length > 0) node.className = classes.join(" ");
    for (const [name, value] of Object.entries(attributes || {})) {
      if (value === undefined || value === null || value === false) continue;
      if (name.startsWith("on")) {
        node.addEventListener(name.slice(2), value);
      } else {
        node.setAttribute(name, value === true ? "" : value);
      }
    }
    node.append(...children.flat(Infinity).filter((c) => c !== undefined && c !== null && c !== ""));
    return node;
  }

  const two = (n) => String(n).padStart(2, "0");
  function day(seconds) {
    const d = new Date(seconds * 1000);
    return d.getFullYear() + "-" + two(d.getMonth() + 1) + "-" + two(d.getDate());
  }
  function time(seconds) {
    const d = new Date(seconds * 1000);
    return day(seconds) + " " + two(d.getHours()) + ":" + two(d.getMinutes());
  }
  // Of a time in an answer's facts, which are in UTC.
  const dayOf = (text) => day(Date.parse(text) / 1000);
  const timeOf = (text) => time(Date.parse(text) / 1000);
  function span(seconds) {
    const days = seconds / 86400;
    if (days >= 1.5) return Math.round(days) + " days";
    const hours = seconds / 3600;
    return hours >= 1.5 ? Math.round(hours) + " hours" : Math.max(1, Math.round(seconds / 60)) + " minutes";
  }
  const count = (n, one, many) => n.toLocaleString("en") + " " + (n === 1 ? one : many);

  // Digits compare as numbers: 2 before 10.
  const collator = new Intl.Collator("en", {numeric: true});
  const natural = (a, b) => collator.compare(a, b);
  const isNumber = (text) => /^-?(\d+\.?\d*|\.\d+)$/.test(text);
  function byValue(a, b) {
    if (isNumber(a) && isNumber(b)) return Number(a) - Number(b);
    return natural(a, b);
  }

  const worths = {g: "good", d: "doubtful", r: "refused"};
  const worthOf = (letter) => worths[letter.toLowerCase()];
  function worth(name, accepted) {
    const sign = {good: "\u2713", doubtful: "?", refused: "\u2715"}[name];
    return el("span.worth." + name, {}, el("span", {"aria-hidden": "true"}, sign + " "), name,
              accepted ? ", accepted" : "");
  }

  // What a backup is called: "#7", or a name where it has no number on main.
  const name = (machine, place) => typeof machine.number[place] === "number" ? "#" + machine.number[place] : machine.number[place];
  const isWithdrawn = (machine, place) => machine.withdrawn.includes(place);

  const route = (...parts) => "#/" + parts.map((part) => encodeURIComponent(part)).join("/");
  const link = (text, ...parts) => el("a", {href: route(...parts)}, text);

  // What can be done here: nothing in a report and a view. The counter has pages of its own, and puts more on
  // the shop's list, the page of a machine, of a backup and of an item, and beside each name.
  const acts = {pages: [], shop: () => [], machine: () => [], backup: () => [], item: () => [], name: null};

  return {take, load, loadTwins, el, day, time, dayOf, timeOf, span, count, natural, byValue, isNumber, name, isWithdrawn, worth, worthOf, route, link,
          views: {}, charts: [], acts};
})();
