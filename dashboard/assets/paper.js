// Pictures on paper: drawn anew in the light theme and as wide as a sheet while the page is printed, and back after.
(() => {
  "use strict";
  // How wide a picture stands on a sheet [px], across it or as one of two beside each other; print.css says it.
  const wide = (plot) => Number(getComputedStyle(plot).getPropertyValue(plot.closest(".columns") ? "--column" : "--sheet"));
  const light = JSON.parse(document.documentElement.dataset.paper || "{}");
  let drawn = [];

  // The same value with each of the dark theme's colours turned into the light theme's.
  function onPaper(value) {
    if (typeof value === "string") return light[value.toLowerCase()] || value;
    if (Array.isArray(value)) return value.map(onPaper);
    if (value && Object.getPrototypeOf(value) === Object.prototype) {
      return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, onPaper(one)]));
    }
    return value;
  }

  function draw() {
    if (drawn.length || !window.Plotly) return;
    for (const plot of document.querySelectorAll(".js-plotly-plot")) {
      if (!plot.offsetParent || plot.closest(".screen-only")) continue;
      drawn.push([plot, plot.data, plot.layout]);
      const layout = { ...onPaper(plot.layout), width: wide(plot), autosize: false };
      window.Plotly.react(plot, onPaper(plot.data), layout);
    }
  }

  function restore() {
    for (const [plot, data, layout] of drawn) window.Plotly.react(plot, data, layout);
    drawn = [];
  }

  window.addEventListener("beforeprint", draw);
  window.addEventListener("afterprint", restore);
})();
