/* Tells once that somebody looks at this page: a scanner of mails runs no script. */
(() => {
  "use strict";
  const tell = () => {
    if (document.visibilityState !== "visible") return;
    document.removeEventListener("visibilitychange", tell);
    fetch(location.pathname, {
      method: "POST",
      body: new URLSearchParams({ looked: "1" }),
      credentials: "omit",
      keepalive: true,
    }).catch(() => {});
  };
  document.addEventListener("visibilitychange", tell);
  tell();
})();
