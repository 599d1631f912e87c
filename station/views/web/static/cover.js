// A private page covers itself after a minute without a key or a pointer.
"use strict";
(() => {
  const cover = document.querySelector("[data-cover]");
  let timer = 0;
  const again = () => { clearTimeout(timer); timer = setTimeout(() => location.replace(cover.href), 60000); };
  for (const kind of ["keydown", "pointermove", "pointerdown", "scroll"]) addEventListener(kind, again, { passive: true });
  addEventListener("pageshow", (event) => { if (event.persisted) location.replace(cover.href); });
  again();
})();
