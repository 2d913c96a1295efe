// The frame around the views, and which one is shown: the part of the address behind #.
(() => {
  const {el, load, route, day, time, worth} = keepway;
  const kind = document.body.dataset.page;
  const main = el("main", {id: "main", tabindex: "-1"});

  function look() {
    const root = document.documentElement;
    const kept = (() => {
      try {
        return localStorage.getItem("keepway-look");
      } catch {
        return null;
      }
    })();
    if (kept) root.dataset.look = kept;
    const button = el("button.look", {type: "button", onclick: () => {
      const dark = root.dataset.look ? root.dataset.look === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
      root.dataset.look = dark ? "light" : "dark";
      try {
        localStorage.setItem("keepway-look", root.dataset.look);
      } catch {
        // kept only while the page is open, then
      }
      dispatchEvent(new Event("keepway-look"));
    }}, "Light or dark");
    return button;
  }

  function fail(error) {
    main.replaceChildren(el("h1", {}, "This page cannot be shown"), el("p", {}, String(error.message || error)));
  }

  // What the address asks for behind its #: a view, and of what.
  const wanted = () => location.hash.replace(/^#\/?/, "").split("/").map((part) => {
    try {
      return decodeURIComponent(part);
    } catch {
      return part;
    }
  });

  async function machinePages() {
    const machine = await load("machine");
    const search = el("input", {type: "search", placeholder: "Search this machine", "aria-label": "Search this machine"});
    const form = el("form.search", {role: "search", onsubmit: (event) => {
      event.preventDefault();
      location.hash = route("search", search.value);
    }}, search, el("button", {type: "submit"}, "Search"));
    const entries = [["At a glance", "glance"], ["Timeline", "timeline"], ...machine.groups.map((g) => [g.name, "items", g.name]), ["Trends", "trends"], ["Heat map", "heat"], ...keepway.acts.pages];
    const nav = el("nav", {"aria-label": "Pages"}, machine.shop ? el("a", {href: "../../index.html"}, "All machines") : "",
      entries.map(([title, ...to]) => el("a", {href: route(...to), "data-to": to.join("/")}, title)));
    document.body.prepend(el("a.skip", {href: "#main", onclick: (e) => {
      e.preventDefault();
      main.focus();
    }}, "To the content"),
      el("header", {}, el("div.name", {}, el("a", {href: route("glance")}, machine.title), el("span", {}, [machine.machine, machine.serial ? "serial " + machine.serial : "", machine.units].filter(Boolean).join(" \u00b7 "))), form, look()),
      nav, main, el("footer", {}, "Made by keepway on " + time(machine.made) + " from " + machine.line + ". Times are those of this computer's zone."));
    let turn = 0;
    const show = async () => {
      const mine = ++turn;
      keepway.leaving();
      const [name, ...parts] = wanted();
      const view = Object.prototype.hasOwnProperty.call(keepway.views, name) ? name : "glance";
      const here = view === "items" ? "items/" + parts[0] : view === "item" ? "items/" + parts[0] : view === "program" || view === "compare" ? "items/programs" : ["backup", "stood", "between"].includes(view) ? "timeline" : view;
      for (const a of nav.querySelectorAll("a[data-to]")) {
        if (a.dataset.to !== here) {
          a.removeAttribute("aria-current");
          continue;
        }
        a.setAttribute("aria-current", "page");
        // On a phone the list is wider than the window: where one is, is in its middle.
        const [own, all] = [a.getBoundingClientRect(), nav.getBoundingClientRect()];
        nav.scrollLeft += own.left + own.width / 2 - all.left - all.width / 2;
      }
      keepway.charts.length = 0;
      search.value = view === "search" ? parts[0] || "" : "";
      try {
        const nodes = await keepway.views[view](machine, ...parts);
        if (mine !== turn) return;
        main.replaceChildren(...nodes.flat(Infinity).filter(Boolean));
        const title = main.querySelector("h1");
        document.title = (title ? title.textContent + " \u00b7 " : "") + machine.title;
        main.dataset.shown = location.hash || "#/glance";
        if (turn > 1) {
          main.focus({preventScroll: true});
        }
        keepway.arrived();
      } catch (error) {
        if (mine === turn) fail(error);
      }
    };
    addEventListener("hashchange", show);
    await show();
    if (document.body.hasAttribute("data-live")) watch(machine);
  }

  // Served: says when a newer backup is there.
  function watch(machine) {
    const timer = setInterval(async () => {
      try {
        const now = await (await fetch("data/now.json", {cache: "no-store"})).json();
        if (now.tip === machine.tip || keepway.acts.changed) return;
        clearInterval(timer);
        main.before(el("p.notice", {role: "status"}, "There is a newer backup. ", el("button", {type: "button", onclick: () => location.reload()}, "Show it")));
      } catch {
        clearInterval(timer);
        main.before(el("p.notice", {role: "status"}, "keepway has stopped: this page no longer follows the machine."));
      }
    }, 10000);
  }
  keepway.stale = () => location.reload();

  function shopList(shop) {
    const of = (backup) => backup ? keepway.dayOf(backup.at) : "none";
    const due = (m) => [["Backup", m.backup_due], ["Battery", m.battery_due]].filter(([, at]) => at !== null).map(([what, at]) => ({what, at, over: at <= shop.made}));
    const dueText = (m) => [...due(m).map((d) => (d.over ? "OVERDUE " : "") + d.what + " " + day(d.at)), m.trial, m.clashes > 0 ? "clash" : ""].join(" ");
    const first = (m) => Math.min(Infinity, ...due(m).map((d) => d.at));
    const dueCell = (m) => [due(m).map((d) => el("p", {}, d.what + ": ", d.over ? el("span.refused.worth", {}, "OVERDUE ") : "", d.at === 0 ? "no good backup yet" : keepway.dueWords(d.at, shop.made))),
      m.missing > 0 ? el("p.note", {}, keepway.count(m.missing, "backup is", "backups are") + " missing since the newest") : "",
      m.trial ? el("p.note", {}, "trial " + m.trial + " in progress") : "",
      m.clashes > 0 ? el("p.reason", {}, keepway.count(m.clashes, "edit clashes", "edits clash") + ": keepway clashes " + m.name) : ""];
    return [el("h1", {}, "Machines"), keepway.acts.shop(shop), shop.machines.length === 0 ? el("p", {}, "No machines yet.") : keepway.table({
      caption: "The shop's machines", rows: shop.machines, filter: shop.machines.length > 8 ? "Find a machine" : undefined,
      columns: [
        {title: "machine", class: "machine-cell", text: (r) => [r.name, r.title, r.serial].join(" "), cell: (r) => [el("a", {href: "machines/" + encodeURIComponent(r.name) + "/index.html"}, r.name),
          el("p.note", {}, r.title), r.serial ? el("p.note", {}, "serial " + r.serial) : ""]},
        {title: "newest backup", text: (r) => of(r.newest) + (r.newest ? " " + r.newest.verdict : ""), cell: (r) => r.newest ? [of(r.newest) + " ", worth(r.newest.verdict, r.newest.accepted),
          r.good && r.good.commit === r.newest.commit ? "" : el("p.note", {}, "last good: " + of(r.good))] : "none"},
        {title: "due", class: "due-cell", text: dueText, compare: (a, b) => first(a) - first(b), cell: dueCell},
        {title: "backups", text: (r) => r.backups, compare: (a, b) => a.backups - b.backups, number: true},
      ]}), keepway.chooseTwins(shop, "", "")];
  }
  // The list of machines; at the counter also the pages that another is enrolled or copied on.
  async function shopPages() {
    const shop = await load("shop");
    const title = shop.title || "Machines";
    document.body.prepend(el("header", {}, el("div.name", {}, el("a", {href: "#/"}, title)), look()), main, el("footer", {}, "Made by keepway on " + time(shop.made) + "."));
    let turn = 0;
    const show = async () => {
      const mine = ++turn;
      const [name, ...parts] = wanted();
      const view = ["enroll", "copy", "twins"].includes(name) && keepway.views[name] ? name : "";
      try {
        const nodes = view ? await keepway.views[view](shop, ...parts) : shopList(shop);
        if (mine !== turn) return;
        main.replaceChildren(...nodes.flat(Infinity).filter(Boolean));
        document.title = (view ? main.querySelector("h1").textContent + " \u00b7 " : "") + title;
        main.dataset.shown = view || "shop";
      } catch (error) {
        if (mine === turn) fail(error);
      }
    };
    addEventListener("hashchange", show);
    await show();
  }
  // Once all scripts have run: the counter's come behind this one.
  addEventListener("DOMContentLoaded", () => (kind === "shop" ? shopPages() : machinePages()).catch((error) => {
    document.body.prepend(main);
    fail(error);
  }));
})();
