// Browser side of the editable grid: a table at a desk, cards on a phone; one component, one value.
(function () {
  "use strict";
  const h = React.createElement;
  const { useEffect, useRef } = React;
  const PAUSE = 900;  // [ms] of no typing after which a cell is taken

  function Cell(props) {
    const { column, value, fault, name, commit, place } = props;
    const { shown, type, send, drop } = window.fillmark.useTyped(place, value, PAUSE, commit);
    const common = {
      "aria-label": name, "data-place": place, style: { minWidth: `${(column.size || 9) + 2}ch` },
      "aria-invalid": fault ? "true" : undefined, "aria-describedby": fault ? `${place}-fault` : undefined,
    };
    const keys = (event) => {
      if (event.key === "Enter") send();
      if (event.key === "Escape") drop();
    };
    let control;
    if (column.kind === "choice") {
      control = h("select", { ...common, value: value ?? "", onChange: (event) => commit(event.target.value) },
        column.options.map((one) => h("option", { key: one.value, value: one.value }, one.label)));
    } else {
      control = h("input", {
        ...common, type: "text", value: shown, inputMode: column.mode, placeholder: column.placeholder,
        autoComplete: "off", spellCheck: false, size: column.size || 8,
        onChange: (event) => type(event.target.value), onBlur: send, onKeyDown: keys,
      });
    }
    return h(React.Fragment, null, control,
      fault ? h("span", { className: "fault", id: `${place}-fault` }, fault) : null);
  }

  // Moves the focus to the cell above or below on Enter and the arrow keys with Alt.
  function walk(event) {
    const place = event.target.dataset.place;
    const step = event.key === "Enter" ? (event.shiftKey ? -1 : 1) : 0;
    if (!place || !step || event.target.tagName === "SELECT") return;
    const [grid, row, key] = place.split("|");
    const wanted = `${grid}|${Number(row) + step}|${key}`;
    const next = [...event.currentTarget.querySelectorAll("[data-place]")].find((node) => node.dataset.place === wanted);
    if (next) { next.focus(); if (next.select) next.select(); }
  }

  function changed(rows, change) {
    const copy = rows.map((row) => ({ ...row }));
    change(copy);
    return copy;
  }

  const ACTIONS = [
    ["up", "Move up", "↑", (rows, at) => { if (at > 0) rows.splice(at - 1, 0, rows.splice(at, 1)[0]); }],
    ["down", "Move down", "↓", (rows, at) => { rows.splice(at + 1, 0, rows.splice(at, 1)[0]); }],
    ["copy", "Duplicate", "+", (rows, at) => { rows.splice(at + 1, 0, { ...rows[at] }); }],
    ["drop", "Remove", "×", (rows, at) => { rows.splice(at, 1); }],
  ];

  function Grid(props) {
    const { id, columns, rows, label, thing = "row", least = 0, setProps } = props;
    const faults = props.faults || {};
    const focus = useRef(null);
    useEffect(() => {
      if (!focus.current) return;
      const cells = document.getElementById(id).querySelectorAll("[data-place]");
      const node = [...cells].find((cell) => cell.dataset.place === focus.current);
      if (node) node.focus();
      focus.current = null;
    });
    const send = (next, done) => setProps({ rows: next, done });
    const buttons = (at) => ACTIONS.filter(([key]) => !props.fixed || key === "up" || key === "down")
      .map(([key, text, sign, change]) => h("button", {
        key, type: "button", className: "icon", title: text, "aria-label": `${text}: ${thing} ${at + 1}`,
        disabled: (key === "up" && at === 0) || (key === "down" && at === rows.length - 1) ||
                  (key === "drop" && rows.length <= least),
        onClick: () => send(changed(rows, (copy) => change(copy, at)), `${text.toLowerCase()} ${thing} ${at + 1}`),
      }, sign));
    const cell = (row, at, column) => h("td", { key: column.key, "data-label": column.label },
      h(Cell, {
        column, value: row[column.key], place: `${id}|${at}|${column.key}`,
        name: `${column.label}, ${thing} ${at + 1}`, fault: faults[`${at}.${column.key}`],
        commit: (value) => send(changed(rows, (copy) => { copy[at][column.key] = value; }),
          `${column.label} of ${thing} ${at + 1}`),
      }));
    const body = rows.map((row, at) => h("tr", { key: at },
      h("th", { scope: "row" }, h("span", { className: "grid-word" }, `${thing} `), at + 1),
      columns.map((column) => cell(row, at, column)),
      h("td", { className: "grid-actions" }, h("div", { className: "grid-buttons" }, buttons(at)))));
    const add = () => {
      const last = rows.length ? rows[rows.length - 1] : {};
      focus.current = `${id}|${rows.length}|${columns[0].key}`;
      send([...rows, props.fresh ? { ...props.fresh } : { ...last }], `add ${thing} ${rows.length + 1}`);
    };
    return h("div", { id, className: `grid ${props.className || ""}`, onKeyDown: walk },
      h("table", null,
        h("caption", { className: "unseen" }, label),
        h("thead", null, h("tr", null, h("th", { scope: "col" }, "#"),
          columns.map((column) => h("th", { key: column.key, scope: "col" }, column.label)),
          h("th", { scope: "col" }, h("span", { className: "unseen" }, "Change the order")))),
        h("tbody", null, body)),
      props.fixed ? null : h("button", { type: "button", className: "plain", onClick: add }, `Add ${thing}`));
  }

  window.fillmark = Object.assign(window.fillmark || {}, { Grid });
})();
