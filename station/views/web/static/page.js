// Keys and small comforts that every page shares; each page works without them.
"use strict";
document.documentElement.classList.add("js");
document.addEventListener("keydown", (event) => {
  const typing = event.target.closest("input, select, textarea");
  for (const one of document.querySelectorAll("[data-key]")) {
    const ctrl = one.hasAttribute("data-ctrl");
    if (ctrl !== (event.ctrlKey || event.metaKey) || event.altKey || (typing && !ctrl)) continue;
    if (one.dataset.key.split(" ").includes(event.key)) {
      event.preventDefault();
      one.click();
      return;
    }
  }
});
for (const link of document.querySelectorAll("[data-back]")) {
  link.addEventListener("click", (event) => {
    if (history.length > 1) { event.preventDefault(); history.back(); }
  });
}
for (const button of document.querySelectorAll("[data-print]")) {
  button.addEventListener("click", () => window.print());
}
