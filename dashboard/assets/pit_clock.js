// Time on the pit board: the server's clock, how long until something, and the event's own wall clock.
// countdown() does what presenters/pit_words.countdown_text does; a test in a browser compares them.
(function () {
  "use strict";
  const MINUTE = 60, HOUR = 3600, DAY = 86400;
  let offset = 0;  // [ms] by which the server's clock is ahead of this device's

  const now = () => Date.now() + offset;

  // The server said `iso` in an answer that was asked for at `asked` and came at `came` [ms of this device].
  function learn(iso, asked, came) {
    const said = Date.parse(iso);
    if (Number.isFinite(said)) offset = said - (asked + came) / 2;
  }

  function long(seconds) {
    const whole = Math.floor(seconds);
    const days = Math.floor(whole / DAY), hours = Math.floor((whole % DAY) / HOUR);
    const minutes = Math.floor((whole % HOUR) / MINUTE);
    if (days) return `${days} d ${hours} h`;
    return hours ? `${hours} h ${minutes} min` : `${minutes} min`;
  }
  function countdown(seconds) {
    if (seconds <= -MINUTE) return `${long(-seconds)} ago`;
    if (seconds < 0) return "now";
    if (seconds >= HOUR) return long(seconds);
    const whole = Math.floor(seconds);
    return `${Math.floor(whole / MINUTE)}:${String(whole % MINUTE).padStart(2, "0")}`;
  }

  const clocks = {};
  // The wall clock of a zone, wherever this browser is.
  function wall(ms, zone, withSeconds) {
    const key = `${zone}${withSeconds}`;
    const seconds = withSeconds ? { second: "2-digit" } : {};
    clocks[key] ??= new Intl.DateTimeFormat("en-GB",
      { hour: "2-digit", minute: "2-digit", ...seconds, hourCycle: "h23", timeZone: zone || undefined });
    return clocks[key].format(new Date(ms));
  }

  // The date in a zone, such as 2026-05-16.
  const day = (ms, zone) => new Intl.DateTimeFormat("en-CA",
    { year: "numeric", month: "2-digit", day: "2-digit", timeZone: zone || undefined }).format(new Date(ms));

  // A moment as ISO 8601 with this device's offset, as entries carry it.
  function iso(ms) {
    const ahead = -new Date(ms).getTimezoneOffset();
    const text = new Date(ms + ahead * 60000).toISOString().slice(0, 23);
    const two = (number) => String(Math.floor(number)).padStart(2, "0");
    return `${text}${ahead < 0 ? "-" : "+"}${two(Math.abs(ahead) / 60)}:${two(Math.abs(ahead) % 60)}`;
  }

  function move(root) {
    for (const node of root.querySelectorAll("[data-until]")) {
      const text = countdown((Date.parse(node.dataset.until) - now()) / 1000);
      if (node.textContent !== text) node.textContent = text;
      node.classList.toggle("over", text === "now" || text.endsWith("ago"));
    }
    const shown = root.querySelector("#pit-clock");
    const text = wall(now(), root.dataset.zone, true);
    if (shown && shown.textContent !== text) shown.textContent = text;
  }

  window.fillmarkPit = Object.assign(window.fillmarkPit || {}, { now, learn, countdown, wall, day, iso, move });
})();
