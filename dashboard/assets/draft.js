// What is typed on a page: kept in the browser under the page's file until it is saved or dropped, with undo.
// A draft is {values, grids, trial, past, fingerprint}; see dashboard/components/draft.py.
(function () {
  "use strict";
  const { useEffect, useRef } = React;
  const PAST = 40;

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

  const same = (one, two) => JSON.stringify(one) === JSON.stringify(two);
  const clean = (draft) => ({ values: {}, grids: {}, trial: {}, past: [], ...(draft || {}) });
  const step = (draft) => ({ values: draft.values, grids: draft.grids, trial: draft.trial });

  // One change made to a draft: what stood before is kept for undo; what equals the file is no change.
  function changed(draft, base, change) {
    const next = clean(JSON.parse(JSON.stringify(draft || {})));
    const before = JSON.parse(JSON.stringify(step(next)));
    change(next);
    for (const name of Object.keys(next.values)) if (same(next.values[name], base.values[name])) delete next.values[name];
    for (const name of Object.keys(next.grids)) if (same(next.grids[name], base.grids[name])) delete next.grids[name];
    for (const name of Object.keys(next.trial)) if (same(next.trial[name], (base.homes || {})[name])) delete next.trial[name];
    if (same(step(next), before)) return draft;
    next.past = [...next.past, before].slice(-PAST);
    if (!next.fingerprint) next.fingerprint = base.fingerprint;
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
    if (kind === "drop") return {};
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
    if (value === null || value === undefined || trigger.kind === "draft") return false;
    return !["try", "undo", "drop"].includes(trigger.kind) || value > 0;
  }

  // The single place where a draft changes. Inputs and outputs are laid out in components/draft.py.
  function reduce(values, sliders, grids, tries, undo, drop, given, draft, valueIds, sliderIds, gridIds, base) {
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
      return same(want, list[place]) ? none : want;
    });
    return [
      same(next, draft) ? none : next,
      shown(gridIds, grids, (name) => current.grids[name] ?? base.grids[name]),
      shown(valueIds, values, (name) => current.values[name] ?? base.values[name] ?? ""),
    ];
  }

  window.fillmark = Object.assign(window.fillmark || {}, { Kept });
  window.dash_clientside = Object.assign(window.dash_clientside || {}, { draft: { reduce } });
})();
