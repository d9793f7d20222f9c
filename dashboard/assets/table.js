// Browser side of dashboard/components/table.py: a whole table as one component, since a page has hundreds of cells.
(function () {
  "use strict";
  const h = React.createElement;
  const parts = (cell) => (typeof cell === "string" ? cell : cell.map((part, place) =>
    (typeof part === "string" ? part : h(window.fillmark.Numeral, { key: place, ...part }))));

  function Row({ row, columns }) {
    const [head, cells, look] = row;
    const blank = cells.every((cell) => !cell.length);
    const name = h("th", { scope: "row", colSpan: blank ? cells.length + 1 : undefined }, parts(head));
    const rest = blank ? null : cells.map((cell, place) => h("td", {
      key: place, "data-label": columns[place].label,
      className: `${columns[place].figure ? "figure" : ""}${cell.length ? "" : " blank"}`.trim() || undefined,
    }, parts(cell)));
    return h("tr", { className: look || undefined }, name, rest);
  }

  function Table(props) {
    const { id, caption, quiet, head, columns, rows } = props;
    const heads = columns.map((column, place) =>
      h("th", { key: place, scope: "col", className: column.figure ? "figure" : undefined }, column.label));
    return h("div", { id, className: "table-wrap", tabIndex: 0, role: "region", "aria-label": caption },
      h("table", { className: "cards" },
        h("caption", { className: quiet ? "unseen" : undefined }, caption),
        h("thead", null, h("tr", null, h("th", { scope: "col" }, head), heads)),
        h("tbody", null, rows.map((row, place) => h(Row, { key: place, row, columns })))));
  }

  window.fillmark = Object.assign(window.fillmark || {}, { Table });
})();
