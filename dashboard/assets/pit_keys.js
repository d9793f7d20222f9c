// The panel that a key of the pit board opens: presets, a number pad or a text, from the data of presenters/pit_keys.py.
(function () {
  "use strict";
  const pit = (window.fillmarkPit = window.fillmarkPit || {});
  const DIGITS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0", "⌫"];

  function make(tag, attributes, ...children) {
    const node = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes || {})) {
      if (name === "onclick") node.addEventListener("click", value);
      else if (value !== undefined && value !== null && value !== false) node.setAttribute(name, value === true ? "" : value);
    }
    node.append(...children.filter((child) => child !== null && child !== undefined && child !== ""));
    return node;
  }
  const button = (text, onclick, className, more) => make("button", { type: "button", class: className, onclick, ...more }, text);
  const filled = (text, subject) => String(text).replace(/\{(\w+)\}/g, (all, name) => (subject && subject[name]) ?? "");

  const dialog = () => document.getElementById("pit-dialog");
  function close() { const box = dialog(); if (box && box.open) box.close(); }

  // Shows a panel's content in the dialog; Escape, its Close key and a tap beside it close it.
  function show(title, ...content) {
    const box = dialog();
    if (!box) return;
    const head = make("div", { class: "pit-panel-head" },
      make("h2", { id: "pit-dialog-title" }, title), button("Close", close, "plain pit-close"));
    box.setAttribute("aria-labelledby", "pit-dialog-title");
    box.replaceChildren(head, ...content);
    box.onclick = (event) => { if (event.target === box) close(); };
    if (!box.open) box.showModal();
  }

  // Opens a key's panel; `before` is a refused item that is being corrected.
  function open(root, key, before) {
    const holder = root.querySelector("[data-panels]");
    const panel = holder && JSON.parse(holder.dataset.panels)[key];
    if (!panel) return;
    const scene = { root, key, panel, before, subject: (panel.subjects || [])[0] || null };
    if (before && before.words && before.words.session) {
      scene.subject = (panel.subjects || []).find((one) => one.words.session === before.words.session) || scene.subject;
    }
    draw(scene);
  }
  function draw(scene) {
    const { panel, before } = scene;
    const told = before && before.refused ? make("p", { class: "pit-refusal" }, `▲ ${before.refused}`) : null;
    show(panel.title, ...[
      told,
      panel.says ? make("p", { class: "pit-says" }, panel.says) : null,
      subjects(scene), presets(scene), panel.pad ? pad(scene) : null, panel.long ? long(scene) : null, panel.timed ? when(scene) : null,
    ].filter(Boolean));
    const first = dialog().querySelector("[data-first]") || dialog().querySelector("button:not(.pit-close)");
    if (first) first.focus();
  }

  function subjects(scene) {
    const list = scene.panel.subjects || [];
    if (list.length < 2) return list.length ? make("p", { class: "pit-subject" }, list[0].text) : null;
    const select = make("select", { id: "pit-subject", class: "pit-key" });
    list.forEach((one, place) => select.append(make("option", { value: place, selected: one === scene.subject }, one.text)));
    select.addEventListener("change", () => draw({ ...scene, subject: list[Number(select.value)] }));
    return make("p", { class: "pit-field" }, make("label", { for: "pit-subject" }, "Session"), select);
  }
  function presets(scene) {
    const list = scene.panel.presets || [];
    if (!list.length) return null;
    const keys = list.map((one) => button(filled(one.text, scene.subject),
      () => { if (!one.earlier || timed()) log(scene, one.entry, filled(one.label, scene.subject)); }, `${one.do ? "do" : "plain"} pit-key`));
    return make("div", { class: `pit-presets${list.length > 1 ? " many" : ""}` }, ...keys);
  }

  const remembered = (key) => { try { return localStorage.getItem(`fillmark:pit-unit-${key}`); } catch (problem) { return null; } };
  const remember = (key, unit) => { try { localStorage.setItem(`fillmark:pit-unit-${key}`, unit); } catch (problem) { /* asks again */ } };

  function pad(scene) {
    const spec = scene.panel.pad;
    const wanted = (scene.before && scene.before.unit) || remembered(scene.key);
    let unit = spec.units.find((one) => one.unit === wanted) || spec.units[0];
    const name = filled(spec.label, scene.subject);
    const input = make("input", { type: "text", inputmode: "none", autocomplete: "off", id: "pit-number", class: "pit-number",
                                  value: (scene.before && scene.before.typed) || "", "data-first": !scene.panel.presets?.length });
    const sends = button("", () => submit(), `${scene.panel.presets?.length ? "plain" : "do"} pit-key pit-send`);
    const units = spec.units.length > 1 ? make("div", { class: "pit-units", role: "group", "aria-label": "Unit" },
      ...spec.units.map((one) => button(one.text, () => { unit = one; remember(scene.key, one.unit); shown(); },
        "plain pit-key", { "data-unit": one.unit }))) : null;
    const number = () => input.value.trim().replace(",", ".");
    const sound = () => /^(\d+\.?\d*|\.\d+)$/.test(number());
    const text = () => `${number()} ${filled(unit.text, scene.subject)}`.trim();
    function shown() {
      sends.disabled = !sound();
      sends.textContent = sound() ? `Log: ${filled(spec.say, scene.subject)} ${text()}` : "Type a number";
      for (const key of units ? units.children : []) key.setAttribute("aria-pressed", String(key.dataset.unit === unit.unit));
    }
    function submit() {
      if (!sound()) return;
      const words = { [spec.word]: unit.unit === "%" ? `${number()} %` : `${number()} ${unit.unit}`.trim() };
      log(scene, { kind: spec.kind, words }, `${filled(spec.say, scene.subject)} ${text()}`, { typed: number(), unit: unit.unit });
    }
    function press(digit) {
      if (digit === "⌫") input.value = input.value.slice(0, -1);
      else if (input.value.length < 8) input.value += digit;
      shown();
    }
    input.addEventListener("input", shown);
    input.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();  // else it would press the key that gets the focus back, and open the panel anew
      submit();
    });
    const digits = DIGITS.map((digit) => button(digit, () => press(digit), "plain pit-key",
      digit === "⌫" ? { "aria-label": "Delete the last digit" } : digit === "." ? { "aria-label": "Decimal point" } : {}));
    shown();
    const one = spec.units.length === 1 ? make("span", { class: "pit-unit" }, filled(unit.text, scene.subject)) : null;
    const line = make("div", { class: "pit-number-row" }, input, one);
    return make("div", { class: "pit-pad" }, make("label", { for: "pit-number" }, name), line, units,
      make("div", { class: "pit-digits" }, ...digits), sends);
  }

  function long(scene) {
    const spec = scene.panel.long;
    const area = make("textarea", { id: "pit-text", rows: "4", maxlength: "500", "data-first": true });
    area.value = (scene.before && scene.before.typed) || "";
    const submit = () => {
      const text = area.value.trim();
      if (text) log(scene, { kind: spec.kind, words: { [spec.word]: text } }, `${spec.say} ${text}`, { typed: text });
      else area.focus();
    };
    return make("div", { class: "pit-field" }, make("label", { for: "pit-text" }, spec.label), area,
      button("Log the note", submit, "do pit-key pit-send"));
  }

  // The time of an entry that is not made at once, on the event's own clock of today.
  function when(scene) {
    const input = make("input", { type: "time", id: "pit-when", class: "pit-key", value: (scene.before && scene.before.clock) || "" });
    input.addEventListener("input", () => input.removeAttribute("aria-invalid"));
    return make("p", { class: "pit-when" }, make("label", { for: "pit-when" }, "Time, if not now"), input);
  }
  function timed() {
    const input = document.getElementById("pit-when");
    if (input.value) return true;
    input.setAttribute("aria-invalid", "true");
    input.focus();
    return false;
  }
  function moment(root) {
    const clock = document.getElementById("pit-when")?.value;
    return clock ? { clock, at: `${pit.day(pit.now(), root.dataset.zone)}T${clock}:00` } : {};
  }

  function log(scene, entry, label, about) {
    const words = entry.words ? { ...(scene.subject ? scene.subject.words : {}), ...entry.words } : undefined;
    const time = moment(scene.root);
    close();
    if (scene.before) pit.queue.drop(scene.before.id);
    const item = pit.queue.add(scene.root.dataset.event, { ...entry, ...(words ? { words } : {}) },
      { label, panel: scene.key, ...(about || {}), ...time });
    pit.say(`${label}.`, item);
  }

  // Asks before something that takes two taps on purpose.
  function ask(title, text, yes, act) {
    show(title, make("p", { class: "pit-says" }, text),
      make("div", { class: "pit-presets" }, button(yes, () => { close(); act(); }, "do pit-key")));
    dialog().querySelector(".pit-presets button").focus();
  }

  Object.assign(pit, { keys: { open, ask, show, close, make, button } });
})();
