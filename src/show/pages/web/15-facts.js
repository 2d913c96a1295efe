// What the pages work out from a machine's facts: which backup is newest, what a value is worth, how old it is.
(() => {
  keepway.monthNames = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
  const months = keepway.monthNames.map((name) => name.slice(0, 3));

  // "27 Nov 2026"; the year left out where it is the machine's present one.
  keepway.date = (seconds, now) => {
    const d = new Date(seconds * 1000);
    const year = d.getFullYear();
    const short = now !== undefined && new Date(now * 1000).getFullYear() === year;
    return d.getDate() + " " + months[d.getMonth()] + (short ? "" : " " + year);
  };
  keepway.months = months;

  // "today", "3 days", "5 months": how long ago.
  keepway.age = (from, now) => {
    const days = Math.floor((now - from) / 86400);
    if (days < 1) return "today";
    if (days < 60) return keepway.count(days, "day", "days");
    if (days < 730) return Math.round(days / 30.44) + " months";
    return Math.round(days / 365.25) + " years";
  };

  keepway.called = (machine, place) => keepway.link(keepway.name(machine, place), "backup", machine.number[place]);

  // When a backup was taken is not known: its control's clock was wrong, and nobody said better.
  keepway.isMisdated = (machine, place) => machine.misdated.includes(place);
  keepway.dateOf = (machine, place, now) => keepway.isMisdated(machine, place)
    ? "an unknown day (dated " + keepway.date(machine.at[place]) + ")" : keepway.date(machine.at[place], now);
  keepway.dayAt = (machine, place) => keepway.isMisdated(machine, place) ? "day unknown" : keepway.day(machine.at[place]);
  keepway.firstDay = (machine) => machine.at.reduce((low, at, place) => keepway.isMisdated(machine, place) ? low : Math.min(low, at), machine.made);

  // Good or accepted by a person, and not withdrawn.
  keepway.isGood = (machine, place) => {
    const letter = machine.worth[place];
    return !keepway.isWithdrawn(machine, place) && (letter === "g" || letter !== letter.toLowerCase());
  };
  // What follows the name of one that is not good.
  keepway.notGood = (machine, place) => {
    if (keepway.isWithdrawn(machine, place)) return " is withdrawn: it is not to be used.";
    const why = keepway.doubt(machine, place);
    return " is not good: " + (why.reason || why.short) + ".";
  };
  // Of main; on a trial that main has gone on from, the last that is listed.
  keepway.newest = (machine) => machine.newest ?? machine.number.length - 1;

  // "memory-lost: every value is zero": the code is for programs to know it by.
  keepway.reasonWords = (reason) => reason.replace(/^[a-z][a-z-]*: /, "");

  // Why a backup is doubtful: its gravest reason as words, "memory lost", and the whole of it.
  keepway.doubt = (machine, place) => {
    if (!machine.doubtAt) machine.doubtAt = new Map(machine.doubts.map((d) => [d[0], d]));
    const found = machine.doubtAt.get(place);
    if (!found) return {short: keepway.worthOf(machine.worth[place]), reason: "", remedy: ""};
    const code = /^([a-z][a-z-]*): /.exec(found[1]);
    return {short: code ? code[1].replace(/-/g, " ") : "doubtful", reason: code ? found[1].slice(code[0].length) : found[1], remedy: found[2]};
  };

  // b - a, exactly, for two decimals as they are written; "" where one is no number.
  keepway.difference = (a, b) => {
    if (a === null || b === null || !keepway.isNumber(a) || !keepway.isNumber(b)) return "";
    const places = Math.max(...[a, b].map((t) => (t.split(".")[1] || "").length));
    const whole = (t) => {
      const [left, right = ""] = t.replace("-", "").split(".");
      const n = BigInt(left + right.padEnd(places, "0"));
      return t.startsWith("-") ? -n : n;
    };
    const d = whole(b) - whole(a);
    const digits = (d < 0n ? -d : d).toString().padStart(places + 1, "0");
    const point = digits.length - places;
    const text = (digits.slice(0, point) + "." + digits.slice(point)).replace(/\.?0*$/, places > 0 ? "" : "$&").replace(/\.$/, "");
    return (d < 0n ? "-" : d > 0n ? "+" : "") + (text || "0");
  };

  // Versions of an item [place, value, doubtful, text] as what it was by good backups, oldest first, and the
  // stretches in between that no good backup vouches for.
  keepway.story = (machine, versions) => {
    const held = [];
    const doubtful = [];
    versions.forEach(([place, value, isDoubtful, text], i) => {
      const until = i + 1 < versions.length ? versions[i + 1][0] : null;
      if (isDoubtful) {
        const last = doubtful[doubtful.length - 1];
        if (last && last.until === place) {
          last.until = until;
          last.values.push(value);
        } else {
          doubtful.push({place, until, values: [value], after: held.length - 1});
        }
        return;
      }
      if (held.length === 0 || held[held.length - 1].value !== value) held.push({place, value, text: text === undefined ? value : text});
    });
    for (const stretch of doubtful) {
      const before = held[stretch.after];
      const next = stretch.until === null ? null : versions.find((v) => v[0] === stretch.until);
      stretch.isOpen = stretch.until === null;
      stretch.isPutBack = Boolean(before && next && next[1] === before.value);
      stretch.step = before && next ? keepway.difference(before.value, next[1]) : "";
    }
    return {held, doubtful};
  };

  // "memory lost 13 Aug to 20 Aug 2026, put back as before"
  keepway.stretch = (machine, stretch) => {
    const why = keepway.doubt(machine, stretch.place).short;
    const from = keepway.dateOf(machine, stretch.place, stretch.isOpen ? undefined : machine.at[stretch.until]);
    if (stretch.isOpen) return why + " since " + from;
    return why + " " + from + " to " + keepway.dateOf(machine, stretch.until) + (stretch.isPutBack ? ", put back as before" : stretch.step ? ", then " + stretch.step + " from before" : ", then not as before");
  };
})();
