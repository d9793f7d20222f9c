// Courses: the list is drawn anew when another course is shown; the keyboard stays on the button that was pressed.
(function () {
  "use strict";
  let pressed = null;
  document.addEventListener("click", (event) => {
    const button = event.target.closest && event.target.closest("#courses-list button");
    pressed = button ? button.id : null;
  });
  document.addEventListener("focusin", (event) => { if (event.target.id !== pressed) pressed = null; });
  new MutationObserver(() => {
    if (!pressed || document.activeElement !== document.body) return;
    const again = document.getElementById(pressed);
    if (again) again.focus({ preventScroll: true });
  }).observe(document.documentElement, { childList: true, subtree: true });
})();
