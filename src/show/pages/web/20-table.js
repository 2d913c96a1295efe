// A table that sorts by its headings, filters by a text, and shows its rows page by page.
//   columns: {title, text(row) for filtering and sorting, cell(row), compare(a, b), number: true, or "mixed" where
//   some of its values are words}
keepway.table = ({caption, columns, rows, filter, sort, size = 200, empty = "Nothing here."}) => {
  const {el, natural} = keepway;
  const key = "table " + caption;
  const state = {column: sort ? sort.column : null, down: Boolean(sort && sort.down), wanted: "", page: 0, ...keepway.recall(key)};
  const redraw = () => {
    draw();
    keepway.remember(key, state);
  };
  const texts = new Map();
  const haystack = (row) => {
    if (!texts.has(row))
      texts.set(row, columns.map((c) => (c.text ? String(c.text(row)) : "")).join("\u0001").toLowerCase());
    return texts.get(row);
  };

  // Roles are said though the elements have them: on a phone rows are laid out as cards, and would lose them.
  const body = el("tbody", {role: "rowgroup"});
  const note = el("p.quiet", {role: "status"});
  const pager = el("div.pager");
  const heads = columns.map((column, index) => {
    const th = el("th", {scope: "col", role: "columnheader", class: column.number ? "number" : null});
    if (column.text) {
      th.append(el("button.sort", {type: "button", onclick: () => sortBy(index)}, column.title));
    } else {
      th.append(column.title);
    }
    return th;
  });
  const few = 8;  // are seen at once, on a phone too
  const isNumber = (column, row) => column.number === "mixed" ? /^$|^none$|^gone$|^[-+~]?[\d.]+( \S{1,8})?$/.test(String(column.text(row))) : column.number;
  const table = el("table" + (rows.length <= few ? ".few" : ""), {role: "table"}, el("caption", {}, caption),
                   el("thead", {role: "rowgroup"}, el("tr", {role: "row"}, heads)), body);

  function sortBy(index) {
    state.down = state.column === index ? !state.down : false;
    state.column = index;
    state.page = 0;
    redraw();
  }

  function draw() {
    const words = state.wanted.toLowerCase().split(/\s+/).filter(Boolean);
    let shown = words.length === 0 ? rows : rows.filter((row) => words.every((w) => haystack(row).includes(w)));
    if (state.column !== null) {
      const column = columns[state.column];
      const compare = column.compare || ((a, b) => natural(String(column.text(a)), String(column.text(b))));
      shown = [...shown].sort((a, b) => (state.down ? compare(b, a) : compare(a, b)));
    }
    heads.forEach((th, index) => {
      if (!columns[index].text) return;
      th.setAttribute("aria-sort", state.column !== index ? "none" : state.down ? "descending" : "ascending");
    });
    const pages = Math.max(1, Math.ceil(shown.length / size));
    state.page = Math.min(state.page, pages - 1);
    const from = state.page * size;
    body.replaceChildren(...shown.slice(from, from + size).map((row) => el("tr", {role: "row"}, columns.map((column) =>
      el("td", {role: "cell", class: [isNumber(column, row) ? "number" : "", column.class || ""].join(" ").trim() || null,
                "data-title": column.title}, column.cell ? column.cell(row) : String(column.text(row)))))));
    if (shown.length === 0) body.append(el("tr", {}, el("td", {colspan: columns.length}, empty)));
    const all = rows.length.toLocaleString("en");
    note.textContent = words.length > 0 ? shown.length.toLocaleString("en") + " of " + all + " rows" : keepway.count(rows.length, "row", "rows");
    const go = (title, page, off) => el("button", {type: "button", disabled: off, onclick: () => {
      state.page = page;
      redraw();
      table.scrollIntoView({block: "start"});
    }}, title);
    pager.replaceChildren();
    if (pages > 1) {
      pager.append(go("Earlier rows", state.page - 1, state.page === 0),
                   el("span", {}, "page " + (state.page + 1) + " of " + pages),
                   go("Later rows", state.page + 1, state.page === pages - 1));
    }
  }

  const top = el("div.above");
  if (filter) {
    let timer = 0;
    const input = el("input", {type: "search", placeholder: filter, "aria-label": filter, oninput: () => {
      clearTimeout(timer);
      timer = setTimeout(() => {
        state.wanted = input.value;
        state.page = 0;
        redraw();
      }, 80);
    }});
    input.value = state.wanted;
    top.append(input);
  }
  // Few that are all there are counted by their caption, if at all.
  const isPlain = !filter && rows.length <= size;
  if (!isPlain) top.append(note);
  draw();
  return el("div.listing", {}, isPlain ? "" : top, el("div.scroll", {tabindex: "0", role: "region", "aria-label": caption}, table), pager);
};
