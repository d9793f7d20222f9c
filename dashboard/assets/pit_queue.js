// Entries on their way: kept in the browser until the server has them on disk, sent in order, each once.
// An item is {id, event, at, kind, words | value, label, panel, typed, unit, clock, tried, refused}; `tried` says that it
// may have reached the server, `refused` holds the server's sentence, `clock` the event's time where one was typed.
(function () {
  "use strict";
  const PLACE = "fillmark:pit-queue", KEPT = "fillmark:pit-board:";
  const MOST = 200, LARGEST = 200000;  // entries and bytes of one request; the server takes 256 kB
  const pit = (window.fillmarkPit = window.fillmarkPit || {});
  let memory = null;   // holds the queue where the browser's storage does not
  let fault = "";      // why it does not, in words
  let busy = false, failures = 0, again = 0, trouble = "";
  const shut = {};     // until when [ms] an event's entries stay, since the server refused them as a whole
  const listeners = [];
  const told = () => listeners.forEach((one) => one());

  function items() {
    if (memory) return memory;
    try { return JSON.parse(localStorage.getItem(PLACE)) || []; }
    catch (problem) { return []; }
  }
  function forgetBoards() {
    for (const name of Object.keys(localStorage)) if (name.startsWith(KEPT)) localStorage.removeItem(name);
  }
  function store(next) {
    const text = JSON.stringify(next);
    try {
      try { localStorage.setItem(PLACE, text); }
      catch (full) { forgetBoards(); localStorage.setItem(PLACE, text); }
      memory = null;
      fault = "";
    } catch (problem) {
      memory = next;
      fault = problem && problem.name === "QuotaExceededError"
        ? "The browser's storage is full." : "This browser keeps nothing for this page (a private window, or switched off).";
    }
  }
  function check() {
    try { localStorage.setItem(`${PLACE}-test`, "1"); localStorage.removeItem(`${PLACE}-test`); }
    catch (problem) { store(items()); }
  }
  // Changes the list as it stands now: another tab of this browser may have changed it.
  function change(update) { store(update(items())); told(); }

  function newId() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  }
  function add(event, entry, about) {
    const item = { id: newId(), event, at: pit.iso(pit.now()), ...entry, ...about, made: Date.now() };
    change((list) => [...list, item]);
    again = 0;
    send();
    return item;
  }
  function drop(id) {
    change((list) => list.filter((one) => one.id !== id));
    const waiting = items().filter((one) => !one.refused);
    for (const event of Object.keys(shut)) if (!waiting.some((one) => one.event === event)) delete shut[event];
    if (!waiting.length) { trouble = ""; told(); }
  }

  // Takes an entry of this device back: out of the queue if it never left, else by an undo behind it.
  function takeBack(event, id, text) {
    const item = items().find((one) => one.id === id);
    if (item && !item.tried) { drop(id); return; }
    add(event, { kind: "undo", words: { undoes: id } }, { label: `Undo: ${text}` });
  }

  function batch() {
    const waiting = items().filter((one) => !one.refused && !(shut[one.event] > Date.now()));
    if (!waiting.length) return [];
    const chosen = [];
    let size = 0;
    for (const one of waiting) {
      if (one.event !== waiting[0].event || chosen.length >= MOST) break;
      size += 4 * JSON.stringify(one).length;
      if (chosen.length && size > LARGEST) break;
      chosen.push(one);
    }
    return chosen;
  }
  const payload = ({ id, at, kind, words, value }) => ({ id, at, kind, ...(value ? { value } : { words: words || {} }) });

  function settle(answer) {
    const gone = new Set([...(answer.accepted || []), ...(answer.doubled || [])]);
    const refused = new Map((answer.refused || []).map((one) => [one.id, one.text]));
    change((list) => list.filter((one) => !gone.has(one.id))
      .map((one) => (refused.has(one.id) ? { ...one, refused: refused.get(one.id) } : one)));
    return gone.size + refused.size;
  }
  function later(seconds, text) {
    again = seconds ? Date.now() + seconds * 1000 : 0;
    trouble = text;
    told();
  }

  async function post(chosen) {
    const body = JSON.stringify({ event: chosen[0].event, entries: chosen.map(payload) });
    const headers = { "Content-Type": "application/json", "X-Fillmark": "pit" };
    return fetch("/pit/entries", { method: "POST", headers, body, signal: pit.within(12000) });
  }
  async function send() {
    if (busy || Date.now() < again) return;
    const chosen = batch();
    if (!chosen.length) return;
    busy = true;
    try {
      const ids = new Set(chosen.map((one) => one.id));
      if (chosen.some((one) => !one.tried)) {
        store(items().map((one) => (ids.has(one.id) ? { ...one, tried: true } : one)));
      }
      await received(await post(chosen), chosen[0].event);
    } catch (unreached) {
      failures += 1;
      later(Math.min(failures, 4), "");
    } finally {
      busy = false;
    }
    if (!again) send();
  }
  async function received(response, event) {
    const answer = await response.json();
    failures = 0;
    const settled = settle(answer);
    const text = answer.error || "The server did not take the entries.";
    if (response.ok && settled) {
      delete shut[event];
      again = 0;
      if (!Object.keys(shut).length) trouble = "";
      told();
      pit.refresh();
    }
    else if (response.status === 401) later(30, "Signed out: sign in again to send what waits.");
    else if (response.status >= 500) later(5, text);
    else { shut[event] = Date.now() + 15000; later(0, text); }
  }

  // The last board, readable without the server: the page's HTML by event, the newest two.
  function keepBoard(event, kept) {
    try {
      const others = Object.keys(localStorage).filter((name) => name.startsWith(KEPT) && name !== KEPT + event);
      if (others.length > 1) others.forEach((name) => localStorage.removeItem(name));
      localStorage.setItem(KEPT + event, JSON.stringify(kept));
    } catch (problem) { /* a full or forbidden storage: the entries' queue says so */ }
  }
  function keptBoard(event) {
    try {
      const name = event ? KEPT + event : Object.keys(localStorage).find((one) => one.startsWith(KEPT));
      return name ? { event: name.slice(KEPT.length), ...JSON.parse(localStorage.getItem(name)) } : null;
    } catch (problem) { return null; }
  }

  Object.assign(pit, {
    queue: {
      items, add, drop, takeBack, send, check, newId, keepBoard, keptBoard,
      at_once: () => { again = 0; failures = 0; for (const event of Object.keys(shut)) delete shut[event]; send(); },
      listen: (one) => listeners.push(one),
      fault: () => fault, trouble: () => trouble,
    },
  });
})();
