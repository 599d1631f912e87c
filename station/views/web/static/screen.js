// The class screen: arrows, space and page keys go on and back; an open stream says that it is shown.
"use strict";
document.addEventListener("keydown", (event) => {
  if (event.target.closest("input, select, textarea, summary") || event.ctrlKey || event.altKey || event.metaKey) return;
  const on = ["ArrowRight", "PageDown", " "].includes(event.key);
  const back = ["ArrowLeft", "PageUp"].includes(event.key);
  const target = document.querySelector(on ? "[data-on]" : back ? "[data-back]" : "none");
  if (target && !(event.key === " " && event.target.closest("a, button"))) { event.preventDefault(); target.click(); }
});
for (const button of document.querySelectorAll("[data-print]")) {
  button.addEventListener("click", () => window.print());
}
const shown = new EventSource("/screen/live");
addEventListener("pagehide", () => shown.close());
