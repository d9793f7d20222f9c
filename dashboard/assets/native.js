// Browser side of dashboard/components/native.py: form fields, sliders, drawings and numbers as plain HTML elements.
(function () {
  "use strict";
  const h = React.createElement;
  const { useEffect, useRef, useState } = React;

  // Typing that is not yet reported, kept in the tab so that a reload within the pause loses nothing.
  const typing = (place) => `fillmark-typing:${window.location.pathname}${window.location.search}:${place}`;
  function unsent(place, text) {
    try {
      if (text === null) sessionStorage.removeItem(typing(place));
      else sessionStorage.setItem(typing(place), text);
    } catch (problem) { /* a full or forbidden storage: only a reload within the pause forgets */ }
  }
  function leftUnsent(place) {
    try { return sessionStorage.getItem(typing(place)); } catch (problem) { return null; }
  }

  // Shows what is typed at once and reports it after a pause, on Enter and on leaving the field.
  const RESTORED = 400;  // [ms] after which a reloaded page has its draft again
  function useTyped(place, value, delay, report) {
    const [shown, show] = useState(value ?? "");
    const timer = useRef(0);
    const waiting = useRef(null);
    const latest = useRef(null);
    latest.current = { value, report };
    const send = () => {
      clearTimeout(timer.current);
      if (waiting.current === null) return;
      const next = waiting.current;
      waiting.current = null;
      unsent(place, null);
      if (next !== (latest.current.value ?? "")) latest.current.report(next);
    };
    const type = (next) => {
      show(next);
      waiting.current = next;
      unsent(place, next);
      clearTimeout(timer.current);
      timer.current = setTimeout(send, delay);
    };
    const drop = () => {
      clearTimeout(timer.current);
      waiting.current = null;
      unsent(place, null);
      show(latest.current.value ?? "");
    };
    useEffect(() => { if (waiting.current === null) show(value ?? ""); }, [value]);
    useEffect(() => {
      const left = leftUnsent(place);
      if (left !== null) {
        show(left);
        waiting.current = left;
        timer.current = setTimeout(send, RESTORED);
      }
      return () => clearTimeout(timer.current);
    }, []);
    return { shown, type, send, drop };
  }

  function described(props) {
    const extra = { ...(props.attributes || {}) };
    if (props.fault) {
      extra["aria-invalid"] = "true";
      extra["aria-describedby"] = `${props.id}-fault`;
    }
    return extra;
  }

  const fault = (props) =>
    props.fault ? h("span", { className: "fault", id: `${props.id}-fault`, key: "fault" }, props.fault) : null;

  // A value kept in the browser under `keep`, over reloads and restarts.
  function useKept(keep, value, setProps) {
    const read = useRef(false);
    useEffect(() => {
      if (!keep) return;
      try {
        const place = `fillmark:${keep}`;
        if (read.current) { localStorage.setItem(place, JSON.stringify(value ?? "")); return; }
        read.current = true;
        const kept = JSON.parse(localStorage.getItem(place));
        // Dash shows what a component sets of itself only once it has mounted.
        if (kept !== null && kept !== value) setTimeout(() => setProps({ value: kept }), 0);
      } catch (problem) { /* a full or forbidden storage: the page works, reloads forget */ }
    }, [keep, value]);
  }

  function Field(props) {
    const { id, label, kind = "text", options, hint, unset } = props;
    const report = (next) => props.setProps({ value: next });
    const { shown, type, send } = useTyped(id, props.value, props.delay ?? 500, report);
    useEffect(() => {
      const zone = () => props.setProps({ value: Intl.DateTimeFormat().resolvedOptions().timeZone });
      if (props.preset === "timezone") setTimeout(zone, 0);
    }, []);
    useKept(props.keep, props.value, props.setProps);  // last, so that what it brings back is shown last
    const common = { id: `${id}-field`, ...described(props) };
    let control;
    if (kind === "choice") {
      const pick = (event) => props.setProps({ value: event.target.value });
      control = h("select", { ...common, value: props.value ?? "", onChange: pick },
        (options || []).map((one) => h("option", { key: one.value, value: one.value }, one.label)));
    } else {
      control = h(kind === "long" ? "textarea" : "input", {
        ...common, type: kind === "long" ? undefined : kind, value: shown, autoComplete: "off", spellCheck: false,
        onChange: (event) => type(event.target.value), onBlur: send,
        onKeyDown: (event) => { if (event.key === "Enter" && kind !== "long") send(); },
      });
    }
    const name = h("label", { htmlFor: `${id}-field`, className: props.quiet ? "unseen" : undefined }, label);
    const note = hint ? h("span", { className: "hint" }, hint) : null;
    return h("span", { id, className: `field${unset ? " assumed" : ""} ${props.className || ""}` },
      name, control, note, fault(props));
  }

  function Tick(props) {
    const flip = (event) => props.setProps({ value: event.target.checked });
    return h("label", { id: props.id, className: `tick ${props.className || ""}` },
      h("input", { type: "checkbox", checked: !!props.value, onChange: flip, ...described(props) }),
      h("span", null, props.label), fault(props));
  }

  // A slider over named stops: it reports the stop's value and speaks the stop's text.
  function Slider(props) {
    const { id, label, stops, home, changed } = props;
    const place = Math.max(0, stops.findIndex((stop) => stop.value === props.value));
    const [shown, show] = useState(place);
    const timer = useRef(0);
    const sent = useRef(-Infinity);
    useEffect(() => show(place), [props.value]);
    const move = (event) => {
      const next = Number(event.target.value);
      show(next);
      clearTimeout(timer.current);
      const wait = Math.max(0, sent.current + 120 - performance.now());  // a single step goes at once, a drag in steps
      timer.current = setTimeout(() => {
        sent.current = performance.now();
        props.setProps({ value: stops[next].value });
      }, wait);
    };
    const text = stops[shown] ? stops[shown].text : "";
    const away = changed ?? (home !== undefined && stops[shown] && stops[shown].value !== home);
    return h("div", { id, className: `slider${away ? " away" : ""}` },
      h("label", { htmlFor: `${id}-field` }, label),
      h("output", { htmlFor: `${id}-field` }, text),
      h("input", { id: `${id}-field`, type: "range", min: 0, max: stops.length - 1, step: 1, value: shown,
                   "aria-valuetext": text, onChange: move, ...(props.attributes || {}) }));
  }

  // One SVG drawing from plain data: {tag, attributes, children | text}.
  function shape(node, key) {
    if (typeof node === "string") return node;
    const inside = node.children ? node.children.map(shape) : node.text;
    return h(node.tag, { key, ...(node.attributes || {}) }, inside);
  }
  const Drawing = (props) => h("div", { id: props.id, className: props.className }, shape(props.tree, "drawing"));

  // A number that opens to its inputs, formula and source. The panel is made when it is opened: a page has hundreds.
  let count = 0;
  function Numeral(props) {
    const { text, title } = props;
    const [open, set] = useState(false);
    const own = useRef(null);
    const button = useRef(null);
    if (own.current === null) own.current = `whence-${++count}`;
    return h("span", { id: props.id, className: `numeral ${props.className || ""}` },
      h("button", { type: "button", ref: button, className: "numeral-button", "aria-haspopup": "dialog",
                    "aria-expanded": String(open), "aria-label": `${text}: ${title ? `${title}, ` : ""}where from`,
                    onClick: () => set(true) }, text),
      open ? h(Whence, { ...props, name: own.current, button: button.current, close: () => set(false) }) : null);
  }

  function Whence(props) {
    const { name, text, title, inputs = [], formula, source, button, close } = props;
    const panel = useRef(null);
    useEffect(() => {
      const node = panel.current;
      const toggled = (event) => { if (event.newState === "closed") close(); };
      node.addEventListener("toggle", toggled);
      node.showPopover();
      place(node, button);
      node.focus();
      return () => node.removeEventListener("toggle", toggled);
    }, []);
    const hide = () => { panel.current.hidePopover(); button.focus(); };
    const keys = (event) => { if (event.key === "Escape") { event.stopPropagation(); hide(); } };
    const rows = inputs.map(([label, value], row) => h(React.Fragment, { key: row }, h("dt", null, label), h("dd", null, value)));
    return h("div", { id: name, ref: panel, popover: "auto", className: "whence", role: "dialog", tabIndex: -1,
                      "aria-labelledby": `${name}-title`, "aria-describedby": `${name}-told`, onKeyDown: keys },
      h("strong", { className: "whence-title", id: `${name}-title` }, title || text,
        h("span", { className: "whence-value" }, text)),
      h("div", { id: `${name}-told` },
        rows.length ? h("dl", { className: "whence-inputs" }, rows) : null,
        formula ? h("p", { className: "whence-formula" }, formula) : null,
        source ? h("p", { className: "whence-source" }, source) : null),
      h("button", { type: "button", className: "plain", onClick: hide }, "Close"));
  }

  function place(node, button) {
    if (window.innerWidth < 640) return;
    const from = button.getBoundingClientRect();
    const size = node.getBoundingClientRect();
    node.style.left = `${Math.max(8, Math.min(from.left, window.innerWidth - size.width - 16))}px`;
    const below = from.bottom + 8 + size.height < window.innerHeight;
    node.style.top = `${below ? from.bottom + 8 : Math.max(8, from.top - size.height - 8)}px`;
  }

  window.fillmark = Object.assign(window.fillmark || {}, { Field, Tick, Slider, Drawing, Numeral, useTyped });
})();
