// The comparison of tanks: follows its progress until it ends, and stops it when asked. Each question waits for the
// answer before, so that a slow network only makes the bar coarser.
(function () {
  "use strict";
  const pause = (ms) => new Promise((done) => setTimeout(done, ms));
  const bar = () => document.getElementById("tank-choice-bar");

  function tell(state) {
    const said = document.getElementById("tank-choice-said");
    if (!bar() || !said || !state.total) return;
    bar().max = state.total;
    bar().value = state.done;
    said.textContent = `Planned ${state.done} of ${state.total} days with their tanks.`;
  }

  async function state() {
    try {
      const response = await fetch("/tank-choice/state", { cache: "no-store" });
      return response.ok ? await response.json() : null;
    } catch (unreached) {
      return null;
    }
  }

  window.dash_clientside = window.dash_clientside || {};
  window.dash_clientside.tankChoice = {
    follow: async (job) => {
      if (!job || !job.running) return window.dash_clientside.no_update;
      for (let lost = 0; document.getElementById("tank-choice") && lost < 60; ) {
        await pause(lost ? 1000 : 350);
        const now = await state();
        lost = now ? 0 : lost + 1;
        if (now) tell(now);
        if (now && !now.running) return { ended: Date.now() };
      }
      return window.dash_clientside.no_update;
    },
    stop: async (clicks) => {
      if (clicks) await fetch("/tank-choice/stop", { method: "POST" }).catch(() => null);
      return Boolean(clicks);
    },
  };
})();
