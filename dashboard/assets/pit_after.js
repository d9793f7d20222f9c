// After the day: what became of the forecast, fetched when it is opened; the day's factor kept for the car, when asked;
// and the log read from a table. All three need the network.
(function () {
  "use strict";
  const pit = (window.fillmarkPit = window.fillmarkPit || {});
  const part = () => document.getElementById("pit-after-part");
  let shown = "";

  // Fetches the part anew if it is open and the board has changed since.
  pit.after = async () => {
    const box = part(), root = document.getElementById("pit");
    if (!box || !box.open || !root) return;
    try {
      const response = await fetch(`/pit/shown/after?event=${encodeURIComponent(root.dataset.event)}`,
        { cache: "no-store", signal: pit.within(15000) });
      const text = await response.text();
      if (text === shown && document.getElementById("pit-after").childElementCount) return;
      shown = text;
      const answer = JSON.parse(text);
      window.dash_clientside.set_props("pit-after", { children: response.ok ? answer.children : answer.error });
    } catch (unreached) {
      window.dash_clientside.set_props("pit-after", { children: "This needs the network; open it again when it is back." });
    }
  };
  document.addEventListener("toggle", (event) => { if (event.target === part()) { shown = ""; pit.after(); } }, true);

  async function sent(address, body, type) {
    try {
      const response = await fetch(address,
        { method: "POST", headers: { "Content-Type": type, "X-Fillmark": "pit" }, body, signal: pit.within(30000) });
      return { ok: response.ok, answer: await response.json() };
    } catch (unreached) {
      return { ok: false, answer: { error: "No network: try again when it is back." } };
    }
  }
  const tell = (title, text) => pit.keys.show(title, pit.keys.make("p", { class: "pit-says" }, text));

  pit.keepFactor = (root, keep) => pit.keys.ask("Keep the day's result for the car", keep.text, "Keep it", async () => {
    const body = JSON.stringify({ event: root.dataset.event, id: pit.queue.newId(), mean: keep.mean, sd: keep.sd });
    const { ok, answer } = await sent("/pit/keep", body, "application/json");
    tell(ok ? "Kept" : "Not kept", ok ? answer.text : answer.error);
    pit.refresh();
    shown = "";
    pit.after();
  });

  pit.takeTable = (event) => {
    const input = pit.keys.make("input", { type: "file", accept: ".csv,text/csv" });
    input.addEventListener("change", async () => {
      if (!input.files.length) return;
      const address = `/pit/log.csv?event=${encodeURIComponent(event)}`;
      const { ok, answer } = await sent(address, await input.files[0].arrayBuffer(), "text/csv");
      tell(ok ? "Table read" : "Table not read",
        ok ? `${answer.added} ${answer.added === 1 ? "entry" : "entries"} added; ${answer.doubled} there already.` : `▲ ${answer.error}`);
      pit.refresh();
    });
    input.click();
  };
})();
