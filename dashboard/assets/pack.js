// Browser side of dashboard/components/pack_list.py: lines ticked off at once, sent to the server, seen elsewhere.
// What could not be sent waits in the browser's storage and goes when the server answers again.
(function () {
  "use strict";
  const h = React.createElement;
  const { useEffect, useRef, useState } = React;
  const EVERY = 4000;
  const PATIENCE = 10000;

  const key = (address) => `fillmark:waiting:${address}`;
  function recall(address) {
    try { return JSON.parse(localStorage.getItem(key(address))) || {}; } catch (problem) { return {}; }
  }
  function keep(address, waiting) {
    try {
      if (Object.keys(waiting).length) localStorage.setItem(key(address), JSON.stringify(waiting));
      else localStorage.removeItem(key(address));
    } catch (problem) { /* a full or forbidden storage: a reload forgets what waits */ }
  }

  async function ask(address, sent) {
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), PATIENCE);
    try {
      const how = sent ? { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(sent) } : {};
      const answer = await fetch(address, { ...how, signal: stop.signal, cache: "no-store" });
      if (answer.status === 403 || answer.status === 401) throw answer.status;
      if (!answer.ok) throw new Error(String(answer.status));
      return (await answer.json()).ticked;
    } finally { clearTimeout(timer); }
  }

  // Ticks as the server has them, with those still waiting on top.
  function useTicks(address, first) {
    const [held, hold] = useState(() => new Set(first));
    const [waiting, wait] = useState(() => recall(address));
    const [trouble, setTrouble] = useState(null);
    const turns = useRef(() => {});

    useEffect(() => { hold(new Set(first)); }, [JSON.stringify(first)]);
    useEffect(() => { wait(recall(address)); }, [address]);

    useEffect(() => {
      let busy = false, over = false;
      const turn = async () => {
        if (busy || over || document.hidden) return;
        busy = true;
        const sent = { ...recall(address) };
        try {
          const ticked = await ask(address, Object.keys(sent).length ? { set: sent } : null);
          if (over) return;
          const rest = recall(address);
          for (const id of Object.keys(sent)) if (rest[id] === sent[id]) delete rest[id];
          keep(address, rest);
          wait(rest);
          hold(new Set(ticked));
          setTrouble(null);
        } catch (problem) {
          if (over) return;
          if (problem === 403) { keep(address, {}); wait({}); }
          setTrouble(problem === 403 || problem === 401 ? problem : "late");
        } finally { busy = false; }
      };
      turns.current = turn;
      const timer = setInterval(turn, EVERY);
      document.addEventListener("visibilitychange", turn);
      window.addEventListener("online", turn);
      if (Object.keys(recall(address)).length) turn();
      return () => {
        over = true;
        clearInterval(timer);
        document.removeEventListener("visibilitychange", turn);
        window.removeEventListener("online", turn);
      };
    }, [address]);

    const set = (changes) => {
      const next = { ...waiting, ...recall(address), ...changes };
      keep(address, next);
      wait(next);
      setTimeout(() => turns.current(), 0);
    };
    const on = (id) => (id in waiting ? waiting[id] : held.has(id));
    return { on, set, trouble, open: Object.keys(waiting).length };
  }

  function Line(props) {
    const { item, on, flip } = props;
    return h("label", { className: `pack-line${on ? " packed" : ""}` },
      h("input", { type: "checkbox", checked: on, onChange: (event) => flip(event.target.checked) }),
      h("span", null, h("span", { className: "pack-text" }, item.text),
        item.detail ? h("span", { className: "pack-detail" }, item.detail) : null));
  }

  function TickList(props) {
    const { id, groups, ticked, address } = props;
    const { on, set, trouble, open } = useTicks(address, ticked);
    const [hidden, hide] = useState(false);
    const [before, remember] = useState(null);
    const lines = groups.flatMap((group) => group.items);
    const done = lines.filter((item) => on(item.id)).length;
    const clear = () => {
      remember(lines.filter((item) => on(item.id)).map((item) => item.id));
      set(Object.fromEntries(lines.map((item) => [item.id, false])));
    };
    const undo = () => { set(Object.fromEntries(before.map((one) => [one, true]))); remember(null); };
    const count = done === lines.length ? `All ${done} packed.` : `${done} of ${lines.length} packed.`;
    const late = trouble === 403 ? " This device may only look; sign in with the crew's code to tick."
      : trouble === 401 ? " Sign in again: this device is not known any more. What you ticked is kept."
        : trouble && open ? ` ${open} not sent yet; kept in this browser until the server answers.` : "";
    const shown = (group) => group.items.filter((item) => !hidden || !on(item.id));
    return h("div", { id, className: "pack-ticks", "data-waiting": open },
      h("div", { className: "pack-head" },
        h("p", { role: "status", className: "pack-count" }, count + late),
        h("progress", { className: "no-print", max: lines.length, value: done, "aria-label": "Packed" }),
        h("div", { className: "row no-print" },
          h("label", { className: "tick" },
            h("input", { type: "checkbox", checked: hidden, onChange: (event) => hide(event.target.checked) }),
            h("span", null, "Hide what is packed")),
          h("button", { type: "button", className: "plain", disabled: !done, onClick: clear }, "Clear all ticks"),
          before && !done ? h("button", { type: "button", className: "plain", onClick: undo }, "Undo") : null)),
      h("div", { className: "pack-groups" }, groups.map((group) => {
        const items = shown(group);
        if (!items.length) return null;
        return h("fieldset", { key: group.name, className: "pack-group" }, h("legend", null, group.name),
          items.map((item) => h(Line, { key: item.id, item, on: on(item.id),
                                        flip: (value) => { remember(null); set({ [item.id]: value }); } })));
      })));
  }

  window.fillmark = Object.assign(window.fillmark || {}, { TickList });
})();
