// The settings are checked while they are typed, half a second after the last key.
"use strict";
(() => {
  const form = document.getElementById("settings"), said = document.getElementById("said");
  let timer = 0;
  form.elements.text.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(async () => {
      const body = new URLSearchParams({ token: form.elements.token.value, text: form.elements.text.value });
      const answer = await fetch("/settings/check", { method: "POST", body }).catch(() => null);
      if (answer && answer.ok) said.textContent = (await answer.json()).said;
    }, 500);
  });
})();
