// A passcode on the screen: gone after its seconds, and when the page is left.
const shown = document.querySelector("[data-passcode]");
const hide = () => shown.replaceChildren();
setTimeout(hide, 1000 * Number(shown.dataset.seconds));
addEventListener("pagehide", hide);
