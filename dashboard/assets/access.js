// A session that has ended: any 401 leads to the sign-in page. A code scanned with the address signs in by itself.
(function () {
  "use strict";
  const ask = window.fetch.bind(window);
  window.fetch = async function (...request) {
    const answer = await ask(...request);
    if (answer.status === 401) {
      const here = window.location.pathname + window.location.search;
      window.location.assign("/sign-in?next=" + encodeURIComponent(here));
    }
    return answer;
  };
  function signIn() {
    const form = document.getElementById("sign-in");
    const code = window.location.hash.slice(1);
    if (!form || !/^[a-z0-9-]{6,20}$/i.test(code)) return;
    form.elements.code.value = code;
    window.history.replaceState(null, "", window.location.pathname + window.location.search);
    form.submit();
  }
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", signIn);
  else signIn();
})();
