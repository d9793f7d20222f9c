// Browser side of dashboard/components/drop_zone.py: sends files as raw bodies, one after the other, with their progress.
(function () {
  "use strict";
  const h = React.createElement;
  const { useEffect, useReducer, useRef, useState } = React;

  const size = (bytes) => (bytes >= 1e7 ? `${(bytes / 1e6).toFixed(0)} MB` : `${(bytes / 1e6).toFixed(1)} MB`);

  function answer(request) {
    try { return JSON.parse(request.responseText); } catch (problem) { return {}; }
  }

  // Sends one entry; `changed` after each step, `through` when it has come to an end.
  function send(address, entry, changed, through) {
    const request = new XMLHttpRequest();
    entry.request = request;
    const end = (state, said) => { Object.assign(entry, { state, said, request: null }); changed(); through(); };
    request.open("POST", `${address}?name=${encodeURIComponent(entry.file.name)}`);
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.upload.onprogress = (event) => { entry.sent = event.loaded; changed(); };
    request.upload.onload = () => { entry.sent = entry.file.size; changed(); };
    request.onload = () => {
      const got = answer(request);
      if (request.status >= 200 && request.status < 300) { entry.path = got.file; end("done", got.said); }
      else {
        entry.may = request.status >= 500;
        end("failed", got.error || `The server answered ${request.status}. Try again.`);
      }
    };
    request.onerror = () => { entry.may = true; end("failed", "The connection was lost; nothing was kept. Try again when it is back."); };
    request.onabort = () => end("dropped", "Stopped; nothing was kept.");
    entry.state = "sending";
    request.send(entry.file);
    changed();
  }

  function Entry({ entry, stop, again }) {
    const share = entry.file.size ? Math.floor((100 * entry.sent) / entry.file.size) : 0;
    const name = entry.file.name;
    const words = entry.state === "sending" && entry.sent >= entry.file.size ? "sent; being looked at"
      : entry.state === "sending" ? `${share} % of ${size(entry.file.size)}` : "waiting";
    const busy = entry.state === "waiting" || entry.state === "sending";
    return h("li", { className: `upload ${entry.state}` },
      h("span", { className: "upload-name" }, name),
      busy ? h("progress", { max: 100, value: share, "aria-label": `${name}, sent` }) : null,
      busy ? h("span", { className: "upload-words" }, words) : null,
      busy ? h("button", { type: "button", className: "plain", onClick: stop, "aria-label": `Stop ${name}` }, "Stop")
        : h("span", { className: entry.state === "failed" ? "fault" : "upload-words", role: "status" }, entry.said),
      entry.state === "failed" && entry.may
        ? h("button", { type: "button", className: "plain", onClick: again, "aria-label": `Try ${name} again` },
          "Try again") : null);
  }

  function DropZone(props) {
    const { id, address, most, label, hint, setProps } = props;
    const entries = useRef([]);
    const [, redraw] = useReducer((count) => count + 1, 0);
    const [over, setOver] = useState(false);
    const input = useRef(null);
    const fresh = useRef([]);

    function next() {
      if (entries.current.some((entry) => entry.state === "sending")) return;
      const waiting = entries.current.find((entry) => entry.state === "waiting");
      if (waiting) { send(address, waiting, redraw, () => through(waiting)); return; }
      if (fresh.current.length) setProps({ taken: { files: fresh.current, at: Date.now() } });
      fresh.current = [];
    }
    function through(entry) {
      if (entry.state === "done") fresh.current = [...fresh.current, entry.path];
      next();
    }
    function add(files) {
      for (const file of files) {
        const large = file.size > most;
        entries.current.push({
          file, sent: 0, may: false, state: large ? "failed" : "waiting",
          said: large ? `${size(file.size)} is more than the ${size(most)} that are taken here. Compress it (.gz or .zip), or cut the recording in parts.` : "",
        });
      }
      redraw();
      next();
    }
    const stop = (entry) => {
      if (entry.request) entry.request.abort();
      else { Object.assign(entry, { state: "dropped", said: "Stopped; nothing was kept." }); redraw(); }
    };
    const again = (entry) => { Object.assign(entry, { state: "waiting", sent: 0 }); redraw(); next(); };
    useEffect(() => () => entries.current.forEach((entry) => entry.request && entry.request.abort()), []);

    const drag = (event, inside) => { event.preventDefault(); setOver(inside); };
    return h("div", { id, className: "drop-zone" },
      h("label", {
        className: `drop-target${over ? " over" : ""}`,
        onDragEnter: (event) => drag(event, true), onDragOver: (event) => drag(event, true),
        onDragLeave: (event) => drag(event, false),
        onDrop: (event) => { drag(event, false); add([...event.dataTransfer.files]); },
      },
        h("input", {
          type: "file", multiple: true, ref: input, className: "drop-input", id: `${id}-input`,
          onChange: (event) => { add([...event.target.files]); event.target.value = ""; },
        }),
        h("strong", null, label),
        hint ? h("span", { className: "hint" }, hint) : null),
      entries.current.length
        ? h("ul", { className: "uploads" }, entries.current.map((entry, place) =>
          h(Entry, { key: place, entry, stop: () => stop(entry), again: () => again(entry) }))) : null);
  }

  window.fillmark = Object.assign(window.fillmark || {}, { DropZone });
})();
