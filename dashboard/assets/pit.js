// The pit board: asks the server about once a second, shows what came, says how old it is, and keeps it readable
// without the server. Nothing here is worked out: parts come ready from the server (pages/pit.py).
(function () {
  "use strict";
  const pit = (window.fillmarkPit = window.fillmarkPit || {});
  const EVERY = 800, SLOWEST = 4000, WAIT = 8000;  // [ms]; asked at each half second, so about once a second
  const state = { event: null, version: "", heard: 0, failures: 0, next: 0, asking: false, error: "", kept: false, absent: 0 };

  pit.within = (time) => {
    const control = new AbortController();
    setTimeout(() => control.abort(), time);
    return control.signal;
  };
  const root = () => document.getElementById("pit");

  function begin(node) {
    Object.assign(state, {
      event: node.dataset.event, version: node.dataset.version, heard: Date.now(), failures: 0, next: 0, error: "",
      node, absent: 0,
    });
    pit.learn(node.dataset.serverTime, Date.now(), Date.now());
    pit.queue.check();
    keep();
    show();
  }

  async function ask() {
    if (state.asking || Date.now() < state.next || document.hidden) return;
    state.asking = true;
    const { event } = state;
    const asked = Date.now();
    try {
      const query = `event=${encodeURIComponent(event)}&since=${encodeURIComponent(state.version)}`;
      const response = await fetch(`/pit/shown?${query}`, { cache: "no-store", signal: pit.within(WAIT) });
      const answer = response.status === 204 ? null : await response.json();
      if (event === state.event && root()?.dataset.event === event) answered(response, answer, asked);
    } catch (unreached) {
      state.failures += 1;
      state.next = Date.now() + Math.min(EVERY * state.failures, SLOWEST);
    } finally {
      state.asking = false;
      show();
    }
  }
  function answered(response, answer, asked) {
    state.failures = 0;
    state.next = Date.now() + EVERY;
    if (response.ok) state.heard = Date.now();
    state.error = response.ok ? "" : (answer && answer.error) || "The server cannot show this board.";
    if (!response.ok) state.next = Date.now() + SLOWEST;
    if (!response.ok || !answer) return;
    pit.learn(answer.server_time, asked, Date.now());
    if (state.kept) {
      if (!pit.queue.fault() || !pit.queue.items().length) location.reload();  // entries that live here alone go first
      return;
    }
    state.version = answer.version;
    window.dash_clientside.set_props("pit-board", { children: answer.children });
    setTimeout(keep, 400);
    pit.after();
  }
  pit.refresh = () => { state.next = 0; ask(); };

  // What stands on the page, for when the server cannot be reached.
  function keep() {
    const node = root();
    if (!node || state.kept || node.dataset.event !== state.event) return;
    pit.move(node);
    const copy = node.cloneNode(true);
    for (const part of copy.querySelectorAll("#pit-dialog, #pit-waiting, #pit-said")) part.replaceChildren();
    pit.queue.keepBoard(state.event, { html: copy.outerHTML, heard: state.heard });
  }
  // A page of this dashboard went to Pit while the server is out of reach: the last board, from the browser's storage.
  async function showKept() {
    const event = new URLSearchParams(location.search).get("event");
    const kept = pit.queue.keptBoard(event);
    if (!kept || !kept.html || root()) return;
    try { await fetch("/pit/shown?event=", { cache: "no-store", signal: pit.within(3000) }); return; }
    catch (unreached) { /* out of reach indeed */ }
    if (root() || location.pathname !== "/pit") return;
    const place = document.createElement("main");
    place.id = "pit-kept";
    place.className = "page";
    place.innerHTML = kept.html;
    const page = document.getElementById("page");
    page.hidden = true;
    page.after(place);
    begin(root());
    Object.assign(state, { kept: true, heard: kept.heard, failures: 1, version: "" });
    place.querySelector("#pit-dialog")?.removeAttribute("open");
    show();
  }
  function leaveKept() {
    document.getElementById("pit-kept")?.remove();
    document.getElementById("page").hidden = false;
    state.kept = false;
  }

  // The line that says how live the board is; spoken only when its words change.
  function linkWords() {
    const since = pit.wall(state.heard + (pit.now() - Date.now()), state.node.dataset.zone, true);
    if (state.error) return ["fault", `▲ ${state.error} The board below is of ${since}.`];
    if (!state.failures && Date.now() - state.heard < 6000) return ["live", "● Live"];
    const age = Math.floor((Date.now() - state.heard) / 60000);
    const old = age < 1 ? "less than a minute" : age < 60 ? `${age} min` : `${Math.floor(age / 60)} h ${age % 60} min`;
    return ["lost", `▲ No network. The board below is of ${since}, ${old} old.`];
  }
  const LOST = "Keys keep working: entries wait in this browser and are sent in order, once, when the network is back. "
    + "Do not close or reload this page: without the network it cannot be opened again.";

  function show() {
    const node = root();
    if (!node) return;
    const [kind, text] = linkWords();
    const line = node.querySelector("#pit-link");
    if (line) {
      line.className = `pit-link ${kind}`;
      put(line, text);
      put(node.querySelector("#pit-lost"), kind === "lost" && node.dataset.canWrite === "true" ? LOST : "");
    }
    waiting(node, kind);
    follow(node, kind);
  }
  function put(node, text) { if (node && node.textContent !== text) node.textContent = text; }

  // Entries that are not on the server yet, and those it refused.
  function waiting(node, kind) {
    const place = node.querySelector("#pit-waiting");
    if (!place) return;
    const trouble = pit.queue.trouble();
    const list = pit.queue.items().filter((one) => one.refused || kind !== "live" || trouble || Date.now() - one.made > 2500);
    const told = JSON.stringify([list, trouble, pit.queue.fault()]);
    if (place.dataset.told === told) return;
    place.dataset.told = told;
    const { make } = pit.keys;
    const queued = list.filter((one) => !one.refused);
    const fault = pit.queue.fault();
    const parts = [
      fault ? make("p", { class: "pit-refusal" }, `▲ ${fault} Entries that wait for the network are lost if this page is closed.`) : null,
      trouble && queued.length ? make("p", { class: "pit-refusal" }, `▲ ${trouble}`) : null,
      list.some((one) => one.refused) ? make("h2", {}, "Not taken by the log") : null,
      rows(list.filter((one) => one.refused), refusedKeys),
      queued.length ? make("h2", {}, queued.length === 1 ? "1 entry waits to be sent" : `${queued.length} entries wait to be sent`) : null,
      rows(queued, waitingKeys),
    ];
    place.replaceChildren(...parts.filter(Boolean));
  }
  function rows(list, keys) {
    const { make } = pit.keys;
    if (!list.length) return null;
    return make("ol", { class: "pit-entries" }, ...list.map((one) => make("li", { "data-waiting": one.id },
      make("span", { class: "pit-time" }, one.clock || pit.wall(Date.parse(one.at), state.node.dataset.zone, false)),
      make("span", {}, one.label, one.refused ? make("span", { class: "pit-refusal" }, `▲ ${one.refused}`) : null),
      make("span", { class: "pit-state" }, one.refused ? "refused" : "waiting"), ...keys(one))));
  }
  const waitingKeys = (one) => {
    const drops = pit.keys.button("Drop", () => pit.queue.drop(one.id), "plain pit-undo", { "aria-label": `Drop: ${one.label}` });
    if (pit.queue.trouble()) return [drops];  // the server answers and does not take it
    return one.kind === "undo" ? [] : [pit.keys.button("Undo",
      () => pit.queue.takeBack(one.event, one.id, one.label), "plain pit-undo", { "aria-label": `Undo: ${one.label}` })];
  };
  const refusedKeys = (one) => [
    one.panel ? pit.keys.button("Correct", () => pit.keys.open(root(), one.panel, one), "plain pit-undo",
      { "aria-label": `Correct: ${one.label}` }) : "",
    pit.keys.button("Drop", () => pit.queue.drop(one.id), "plain pit-undo", { "aria-label": `Drop: ${one.label}` }),
  ].filter(Boolean);

  // What was just logged, with its undo, at the foot of the screen for some seconds.
  let hush = 0, said = "";
  const quiet = () => { clearTimeout(hush); said = ""; root()?.querySelector("#pit-said")?.replaceChildren(); };
  pit.say = (text, item) => {
    const place = root() && root().querySelector("#pit-said");
    if (!place) return;
    quiet();
    said = item ? item.id : "";
    const undo = item ? [pit.keys.button("Undo", () => { pit.queue.takeBack(item.event, item.id, item.label); quiet(); },
      "plain pit-key", { "aria-label": `Undo: ${item.label}` })] : [];
    place.replaceChildren(pit.keys.make("span", {}, `✓ ${text}`), ...undo);
    hush = setTimeout(quiet, 7000);
    show();
  };
  // What was said of an entry follows what became of it: refused ones are told elsewhere, waiting ones say so.
  function follow(node, kind) {
    const item = said && pit.queue.items().find((one) => one.id === said);
    if (!item) return;
    const text = node.querySelector("#pit-said span");
    if (item.refused) quiet();
    else if (kind !== "live" && text) put(text, `✓ ${item.label}. It waits for the network.`);
  }

  function clicked(event) {
    const node = root();
    const target = event.target.closest && event.target.closest("[data-panel], [data-undo], [data-import], [data-keep]");
    if (!node || !target || !node.contains(target)) return;
    if (target.dataset.panel) pit.keys.open(node, target.dataset.panel);
    if (target.dataset.undo) {
      const { undo, text } = target.dataset;
      pit.keys.ask("Take back an entry", `${text}. It stays in the log as taken back.`, "Take it back",
        () => pit.queue.takeBack(state.event, undo, text));
    }
    if (target.dataset.import) pit.takeTable(state.event);
    if (target.dataset.keep) pit.keepFactor(node, JSON.parse(target.dataset.keep));
  }

  function tick() {
    const node = root();
    if (!node) {
      const here = location.pathname === "/pit";
      state.absent = here ? state.absent || Date.now() : 0;
      if (here && Date.now() - state.absent > 3500) { state.absent = Date.now(); showKept(); }
      state.node = null;
      return;
    }
    if (state.kept && location.pathname !== "/pit") { leaveKept(); return; }
    if (state.node !== node || state.event !== node.dataset.event) begin(node);
    pit.move(node);
    ask();
    pit.queue.send();
    show();
  }
  function wake() { if (root() && !document.hidden) { state.next = 0; pit.queue.at_once(); tick(); } }

  document.addEventListener("click", clicked);
  document.addEventListener("visibilitychange", wake);
  window.addEventListener("online", wake);
  window.addEventListener("pageshow", wake);
  window.addEventListener("storage", show);
  pit.queue ? pit.queue.listen(show) : addEventListener("load", () => pit.queue.listen(show));
  setInterval(tick, 500);
})();
