// Runs before the first paint: the theme as last chosen, and which figure library a chart page loads. Such a page
// fetches it while the rest starts; the pages without a chart never do.
(function () {
  "use strict";
  const root = document.documentElement;
  const kept = /(?:^|; )fillmark-settings=(\w+)\.(\w+)/.exec(document.cookie);
  root.dataset.theme = kept && kept[2] === "dark" ? "dark" : "light";
  const bundle = root.dataset.plotly;
  if (bundle) Object.defineProperty(window, "_dashPlotlyJSURL", { get: () => bundle, set: () => {} });
  if (bundle && !/^\/(pack|pit|new|method)\b/.test(window.location.pathname)) {
    document.head.append(Object.assign(document.createElement("link"), { rel: "prefetch", as: "script", href: bundle }));
  }
})();
