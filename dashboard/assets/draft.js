// What is typed on a page: kept in the browser under the page's file until it is saved or dropped, with undo.
// A draft is {values, grids, trial, past, fingerprint}; see dashboard/components/draft.py.
(function () {
  "use strict";
  const { useEffect, useRef } = React;
  const PAST = 40;
  const HEAVIEST = 80000;  // letters of all steps together, since the draft travels to the server with each change

  // Holds a value as its property `data` and keeps it in the browser's storage under `place`.
  function Kept(props) {
    const { place, data, setProps } = props;
    const read = useRef(null);
    useEffect(() => {
      if (read.current === place) {
        write(place, data);
        return;
      }
      read.current = place;
      const kept = recall(place);
      if (kept && JSON.stringify(kept) !== JSON.stringify(data)) setTimeout(() => setProps({ data: kept }), 0);
    }, [place, data]);
    // Another tab on the same file shows and keeps the same draft.
    useEffect(() => {
      const heard = (event) => {
        if (event.key !== key(place)) return;
        setProps({ data: JSON.parse(event.newValue) || {} });
        window.dispatchEvent(new Event("fillmark-look"));
      };
      window.addEventListener("storage", heard);
      return () => window.removeEventListener("storage", heard);
    }, [place]);
    return null;
  }
  const key = (place) => `fillmark:${place}`;
  function recall(place) {
    try { return JSON.parse(localStorage.getItem(key(place))); } catch (problem) { return null; }
  }
  function write(place, data) {
    try {
      if (data && Object.keys(data).length) localStorage.setItem(key(place), JSON.stringify(data));
      else localStorage.removeItem(key(place));
    } catch (problem) { /* a full or forbidden storage: the page works, reloads forget */ }
  }

  // Beats when the page comes into view and every 20 s while it is; counts returns of the server (shell.js tells).
  const EVERY = 20000;
  function Pulse(props) {
    const latest = useRef(props);
    latest.current = props;
    useEffect(() => {
      const look = () => {
        if (document.visibilityState === "visible") latest.current.setProps({ beat: (latest.current.beat || 0) + 1 });
      };
      const back = () => { latest.current.setProps({ back: (latest.current.back || 0) + 1 }); look(); };
      const timer = setInterval(look, EVERY);
      setTimeout(look, 0);
      const events = [["focus", look], ["fillmark-look", look], ["fillmark-back", back]];
      for (const [name, act] of events) window.addEventListener(name, act);
      document.addEventListener("visibilitychange", look);
      return () => {
        clearInterval(timer);
        for (const [name, act] of events) window.removeEventListener(name, act);
        document.removeEventListener("visibilitychange", look);
      };
    }, []);
    return null;
  }

  const same = (one, two) => JSON.stringify(one) === JSON.stringify(two);
  const clean = (draft) => ({ values: {}, grids: {}, trial: {}, past: [], ...(draft || {}) });
  const step = (draft) => ({ values: draft.values, grids: draft.grids, trial: draft.trial });

  // A draft remembers the file that it began from, so that a change from outside can be told from an edit.
  function begin(draft, base) {
    if (draft.from) return;
    draft.fingerprint = base.fingerprint;
    draft.from = { values: base.values, grids: base.grids };
  }

  // The last steps of a past, so many and so heavy at most, and one at least.
  function kept(past) {
    const steps = past.slice(-PAST);
    const weights = steps.map((one) => JSON.stringify(one).length);
    let weight = weights.reduce((sum, one) => sum + one, 0);
    while (steps.length > 1 && weight > HEAVIEST) { steps.shift(); weight -= weights.shift(); }
    return steps;
  }

  // One change made to a draft: what stood before is kept for undo; what equals the file is no change.
  function changed(draft, base, change) {
    const next = clean(JSON.parse(JSON.stringify(draft || {})));
    const before = JSON.parse(JSON.stringify(step(next)));
    change(next);
    for (const name of Object.keys(next.values)) if (same(next.values[name], base.values[name])) delete next.values[name];
    for (const name of Object.keys(next.grids)) if (same(next.grids[name], base.grids[name])) delete next.grids[name];
    for (const name of Object.keys(next.trial)) if (same(next.trial[name], (base.homes || {})[name])) delete next.trial[name];
    if (same(step(next), before)) return draft;
    next.past = kept([...next.past, before]);
    begin(next, base);
    return next;
  }

  function applied(trigger, draft, base, inputs) {
    const { values, sliders, grids, given } = inputs;
    const { kind } = trigger;
    if (kind === "undo") {
      const next = clean(draft);
      if (!next.past.length) return draft;
      const last = next.past[next.past.length - 1];
      return { ...next, ...last, past: next.past.slice(0, -1) };
    }
    if (kind === "drop") {
      const next = clean(draft);
      return { ...next, values: {}, grids: {}, trial: {}, past: kept([...next.past, step(next)]) };
    }
    return changed(draft, base, (next) => {
      if (kind === "field") next.values[trigger.key] = values[trigger.key];
      if (kind === "slider") next.trial[trigger.key] = sliders[trigger.key];
      if (kind === "grid") next.grids[trigger.key] = grids[trigger.key];
      if (kind === "given" && given) for (const name of Object.keys(given.grids || {})) next.grids[name] = given.grids[name];
      if (kind === "given" && given) Object.assign(next.values, given.values || {});
      if (kind === "try" && trigger.key === "allow") next.trial.allow = [...(next.trial.allow || []), trigger.value];
      else if (kind === "try") next.trial[trigger.key] = trigger.value;
    });
  }

  // What an id of Dash's names: {page, kind, key, ...}, or {kind} for "day-undo".
  function identity(name) {
    const id = name.slice(0, name.lastIndexOf("."));
    return id.startsWith("{") ? JSON.parse(id) : { kind: id.split("-").pop() };
  }
  // A button that only appeared has no clicks yet, a part that only appeared no value, and a draft changes nothing.
  function acts(trigger, value) {
    if (value === null || value === undefined || ["draft", "base"].includes(trigger.kind)) return false;
    return !["try", "undo", "drop"].includes(trigger.kind) || value > 0;
  }

  // The single place where a draft changes. Inputs and outputs are laid out in components/draft.py.
  function reduce(values, sliders, grids, tries, undo, drop, given, draft, base, valueIds, sliderIds, gridIds) {
    const context = window.dash_clientside.callback_context;
    const none = window.dash_clientside.no_update;
    const pair = (ids, list) => Object.fromEntries(ids.map((id, place) => [id.key, list[place]]));
    const inputs = { values: pair(valueIds, values), sliders: pair(sliderIds, sliders), grids: pair(gridIds, grids), given };
    let next = draft;
    for (const one of context.triggered) {
      const trigger = identity(one.prop_id);
      if (acts(trigger, one.value)) next = applied(trigger, next, base, inputs);
    }
    const current = clean(next);
    const shown = (ids, list, find) => ids.map((one, place) => {
      const want = find(one.key);
      return want === undefined || same(want, list[place]) ? none : want;
    });
    return [
      same(next, draft) ? none : next,
      shown(gridIds, grids, (name) => current.grids[name] ?? base.grids[name]),
      shown(valueIds, values, (name) => current.values[name] ?? base.values[name] ?? ""),
      shown(sliderIds, sliders, (name) => current.trial[name] ?? (base.homes || {})[name]),
    ];
  }

  window.fillmark = Object.assign(window.fillmark || {}, { Kept, Pulse });
  window.dash_clientside = Object.assign(window.dash_clientside || {}, { draft: { reduce } });
})();
