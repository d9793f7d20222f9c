// Browser side of dashboard/shell.py: moving between pages and events without a reload, theme and units.
(function () {
  "use strict";
  const h = React.createElement;
  const { useEffect, useState } = React;

  function go(address) {
    window.history.pushState({}, "", address);
    window.dispatchEvent(new CustomEvent("_dashprivate_pushstate"));
    window.scrollTo(0, 0);
  }

  // Whether the server answers: told on the page, tried again every two seconds, and open pages look anew after it.
  const plain = window.fetch;
  let lost = false;
  function told(answers) {
    if (answers === !lost) return;
    lost = !answers;
    if (lost) document.documentElement.dataset.link = "lost"; else delete document.documentElement.dataset.link;
    if (lost) setTimeout(retry, 2000); else window.dispatchEvent(new Event("fillmark-back"));
  }
  function retry() {
    plain("/assets/favicon.svg", { cache: "no-store" }).then(() => told(true), () => setTimeout(retry, 2000));
  }
  window.addEventListener("offline", () => told(false));
  window.fetch = (...asked) => plain(...asked).then(
    (answer) => { told(true); return answer; },
    (problem) => { if (problem.name !== "AbortError") told(false); throw problem; },
  );

  function useAddress() {
    const read = () => ({ path: window.location.pathname, search: window.location.search });
    const [address, set] = useState(read);
    useEffect(() => {
      const update = () => set(read());
      window.addEventListener("popstate", update);
      window.addEventListener("_dashprivate_pushstate", update);
      return () => {
        window.removeEventListener("popstate", update);
        window.removeEventListener("_dashprivate_pushstate", update);
      };
    }, []);
    return address;
  }

  // The chosen event travels in the address, so that two tabs can hold two events and a reload keeps its own.
  function eventOnly(search) {
    const event = new URLSearchParams(search).get("event");
    return event ? `?event=${encodeURIComponent(event)}` : "";
  }

  function Anchor(props) {
    const { search } = useAddress();
    const target = props.plain ? props.href : props.href + eventOnly(search);
    const click = (event) => {
      if (event.metaKey || event.ctrlKey || event.shiftKey || event.button) return;
      event.preventDefault();
      go(target);
    };
    return h("a", { id: props.id, href: target, className: props.className, onClick: click }, props.text);
  }

  function Tabs(props) {
    const { path, search } = useAddress();
    const here = path === "/" ? props.home : path;
    return h("nav", { id: props.id, className: "tabs", "aria-label": "Pages" }, h("ul", null,
      props.items.map((item) => h("li", { key: item.href }, h("a", {
        href: item.href + eventOnly(search), "aria-current": here === item.href ? "page" : undefined,
        onClick: (event) => {
          if (event.metaKey || event.ctrlKey || event.shiftKey || event.button) return;
          event.preventDefault();
          go(item.href + eventOnly(search));
        },
      }, item.label)))));
  }

  function Chooser(props) {
    const { path, search } = useAddress();
    const name = props.name || "event";
    const chosen = new URLSearchParams(search).get(name) || props.home || "";
    const choose = (value) => {
      const next = new URLSearchParams(name === "event" ? "" : search);
      next.set(name, value);
      go(`${path}?${next}`);
    };
    const known = props.items.some((item) => item.value === chosen);
    const options = props.items.map((item) => h("option", { key: item.value, value: item.value }, item.label));
    if (!known) options.unshift(h("option", { key: "", value: chosen }, chosen || `No ${name} yet`));
    return h("span", { id: props.id, className: "chooser" },
      h("label", { htmlFor: `${props.id}-field`, className: name === "event" ? "unseen" : undefined }, name[0].toUpperCase() + name.slice(1)),
      h("select", { id: `${props.id}-field`, value: chosen,
                    onChange: (event) => choose(event.target.value) }, options));
  }

  // Units, theme and the screen's width live in a cookie, so that the server's first answer is already in them.
  function Settings(props) {
    const { id, data, setProps } = props;
    const { units, theme, screen } = data;
    const keep = (change) => {
      const next = { ...data, ...change };
      const text = `${next.units}.${next.theme}.${next.screen}`;
      document.cookie = `fillmark-settings=${text}; path=/; max-age=31536000; SameSite=Strict`;
      setProps({ data: next });
    };
    useEffect(() => { document.documentElement.dataset.theme = theme; }, [theme]);
    useEffect(() => {
      const narrow = window.matchMedia("(max-width: 700px)");
      const fit = () => { if (screen !== (narrow.matches ? "narrow" : "wide")) keep({ screen: narrow.matches ? "narrow" : "wide" }); };
      fit();
      narrow.addEventListener("change", fit);
      return () => narrow.removeEventListener("change", fit);
    });
    const names = [["metric", "L, mm, bar"], ["us", "US gal, in, psi"], ["imperial", "imp gal, in, psi"]];
    return h("div", { id, className: "settings" },
      h("label", { htmlFor: `${id}-units`, className: "unseen" }, "Units shown"),
      h("select", { id: `${id}-units`, value: units, onChange: (event) => keep({ units: event.target.value }) },
        names.map(([value, label]) => h("option", { key: value, value }, label))),
      h("button", { type: "button", className: "plain", "aria-label": "Dark theme", "aria-pressed": String(theme === "dark"),
                    onClick: () => keep({ theme: theme === "dark" ? "light" : "dark" }) },
        theme === "dark" ? "☀ Light" : "☾ Dark"));
  }

  window.fillmark = Object.assign(window.fillmark || {}, { Anchor, Tabs, Chooser, Settings, go });
})();
