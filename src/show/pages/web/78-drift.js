// How much values creep over a year, in words and as a table.
(() => {
  const {el, link, isNumber} = keepway;

  // An estimate with as many digits as its uncertainty leaves it, and no more than the value is written with.
  const estimate = (d, value, sign = true) => {
    const written = ((d.r || "").split(".")[1] || "").length;
    const spread = Math.max((d.most - d.least) / 2, Math.abs(d.year) / 1000, 1e-9);
    const places = Math.max(0, Math.min(written, 1 - Math.floor(Math.log10(spread))));
    const text = value.toFixed(places).replace("-", "\u2212");
    return sign && value > 0 ? "+" + text : text;
  };
  const monthOf = (seconds) => {
    const d = new Date(seconds * 1000);
    return keepway.months[d.getMonth()] + " " + d.getFullYear();
  };
  const unit = (d) => d.unit ? " " + d.unit : "";

  keepway.driftAmount = (d) => estimate(d, d.year) + unit(d);
  keepway.driftRange = (d) => estimate(d, d.least) + " to " + estimate(d, d.most) + unit(d);
  keepway.forecast = (d) => {
    if (!d.meets) return "";
    const [early, late] = [monthOf(d.earliest || d.meets), d.latest ? monthOf(d.latest) : "never"];
    return "at this rate at its limit of " + d.limit + unit(d) + " in " + monthOf(d.meets) + (early === late ? "" : " (" + early + " to " + late + ")");
  };
  keepway.driftWords = (d) => {
    const good = keepway.count(d.points, "good backup", "good backups");
    if (!d.sure) return "No clear drift: " + keepway.driftRange(d) + " a year, by " + good + " of the last 12 months.";
    const ahead = keepway.forecast(d);
    return "Drifts " + keepway.driftAmount(d) + " a year (" + keepway.driftRange(d) + ", by " + good + ")" + (ahead ? "; " + ahead : "") +
      (d.points < 8 ? "; too few backups for a forecast" : "") + ".";
  };

  keepway.driftTable = (list) => {
    const by = (get) => (a, b) => get(a) - get(b);
    return keepway.table({
      caption: "Numbers that changed within 12 months, clear drifts first", rows: list, filter: "Find an item or a name", size: 50,
      empty: "Nothing drifted.",
      columns: [
        {title: "item", text: (r) => r.a + " " + (r.n || ""), cell: (r) => [link(r.a, "item", ...r.a.split("/")), r.n ? el("p.note", {}, r.n) : ""]},
        {title: "value", text: (r) => r.r === null || r.r === undefined ? "" : r.r + (isNumber(r.r) ? unit(r) : ""), compare: by((r) => Number(r.r)), number: true},
        {title: "in 12 months", text: (r) => keepway.driftAmount(r), compare: by((r) => Math.abs(r.year)), number: true},
        {title: "range (95 %)", text: (r) => keepway.driftRange(r), compare: by((r) => r.most - r.least), number: true, class: "range"},
        {title: "backups", text: (r) => r.points, compare: by((r) => r.points), number: true},
        {title: "finding", text: (r) => r.sure ? keepway.forecast(r) || (r.points < 8 ? "drifts; too few backups for a forecast" : "drifts") : "no clear drift",
         compare: by((r) => (r.sure ? 0 : 1e12) + (r.meets || 1e11))},
      ]});
  };
})();
