// Words of a block (RS-274, NISTIR 6556 section 3) as spans: comment, N word, code, axis, value, variable.
keepway.code = (() => {
  const {el} = keepway;
  const token = /(\([^)]*\)?|;.*$)|(#\s*[0-9<][^\s=+\-*/\])]*|#)|([A-Za-z])(\s*[+-]?(?:\d+\.?\d*|\.\d+))?|([[\]=+\-*/]|\/)|(\s+)|([^A-Za-z#([;\]=+\-*/\s]+)/g;
  function kind(letter) {
    const upper = letter.toUpperCase();
    if (upper === "N") return "number-word";
    if (upper === "G" || upper === "M") return "code-word";
    if (upper === "O") return "name-word";
    if ("XYZABCUVWIJKR".includes(upper)) return "axis-word";
    return "word";
  }
  function block(line) {
    const out = [];
    let end = 0;
    for (const found of line.matchAll(token)) {
      if (found.index > end) out.push(line.slice(end, found.index));
      end = found.index + found[0].length;
      if (found[1] !== undefined) out.push(el("span.comment", {}, found[0]));
      else if (found[2] !== undefined) out.push(el("span.variable", {}, found[0]));
      else if (found[3] !== undefined) out.push(el("span." + kind(found[3]), {}, found[0]));
      else out.push(found[0]);
    }
    if (end < line.length) out.push(line.slice(end));
    return out;
  }
  const lines = (text) => (text.endsWith("\n") ? text.slice(0, -1) : text).split("\n");

  // A listing of at most `most` blocks at a time.
  function listing(text, label, most = 2000) {
    const all = lines(text);
    const body = el("ol.code", {});
    const more = el("div.pager");
    let shown = 0;
    const grow = () => {
      const next = all.slice(shown, shown + most);
      shown += next.length;
      body.append(...next.map((line) => el("li", {}, el("code", {}, block(line)))));
      more.replaceChildren();
      if (shown < all.length)
        more.append(el("button", {type: "button", onclick: grow}, "Show " + (all.length - shown).toLocaleString("en") + " more blocks"));
    };
    grow();
    return el("div", {}, el("div.scroll", {tabindex: "0", role: "region", "aria-label": label}, body), more);
  }
  return {block, lines, listing};
})();
