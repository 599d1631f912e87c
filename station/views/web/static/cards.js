// The grid of cards: Enter goes on, arrows go up and down, each row is saved when it is left.
"use strict";
(() => {
  const form = document.getElementById("cards");
  if (!form) return;
  const rows = [...form.querySelectorAll("tr[data-team]")];
  const cells = (row) => [...row.querySelectorAll("input")];
  const ask = document.getElementById("ask"), again = document.getElementById("again");
  const trouble = document.getElementById("trouble"), box = document.getElementById("thermometers");
  const head = document.getElementById("head");
  const why = new Map();
  let asked = null;
  const token = form.elements.token.value;

  const state = (row, word, lost) => {
    const place = row.querySelector("[data-state]");
    place.textContent = word;
    place.classList.toggle("lost", Boolean(lost));
  };
  const written = (row) => cells(row).map((cell) => cell.value).join("|");
  for (const row of rows) row.dataset.written = written(row);

  const shown = (news) => {
    why.clear();
    for (const [team, sentences] of Object.entries(news.asks)) why.set(team, sentences);
    for (const row of rows) row.querySelector("[data-mark]").hidden = !why.has(row.dataset.team);
    again.textContent = news.again;
    head.textContent = news.head;
    box.replaceChildren(...news.thermometers.map((sentence) => {
      const p = document.createElement("p");
      p.className = "box";
      p.textContent = sentence;
      return p;
    }));
    if (asked && !why.has(asked.dataset.team)) close();
    for (const row of rows) {  // cards that came from the pupils' page
      const card = news.cards[row.dataset.team];
      if (!card || row.contains(document.activeElement) || written(row) !== row.dataset.written) continue;
      cells(row).forEach((cell, at) => { cell.value = card[at]; });
      row.dataset.written = written(row);
      if (card.some((cell) => cell)) state(row, form.dataset.saved);
    }
  };

  const send = async (address, fields) => {
    const body = new URLSearchParams({ token, session: form.dataset.session, ...fields });
    const answer = await fetch(address, { method: "POST", body, keepalive: true });
    if (!answer.ok) throw new Error(await answer.text());
    return answer.json();
  };

  const save = async (row) => {
    const now = written(row);
    if (now === row.dataset.written) return;
    const [thermometer, celsius, fahrenheit] = cells(row).map((cell) => cell.value);
    const reason = form.elements.reason ? form.elements.reason.value : "";
    state(row, form.dataset.saving);
    try {
      const news = await send("/cards/row", { team: row.dataset.team, thermometer, celsius, fahrenheit, reason });
      row.dataset.written = now;
      state(row, now === "||" ? "" : form.dataset.saved);
      trouble.hidden = true;
      shown(news);
    } catch (problem) {
      state(row, form.dataset.lost, true);
      trouble.textContent = form.dataset.offline;
      trouble.hidden = false;
      clearTimeout(save.timer);
      save.timer = setTimeout(() => rows.forEach(save), 3000);
    }
  };

  const close = () => { ask.hidden = true; asked = null; };
  const open = (row) => {
    asked = row;
    ask.querySelector("[data-why]").textContent = (why.get(row.dataset.team) || []).join(" ");
    row.after(askRow);
    ask.hidden = false;
  };
  const askRow = document.createElement("tr");
  const cell = document.createElement("td");
  cell.colSpan = 5;
  askRow.append(cell);
  cell.append(ask);

  for (const row of rows) {
    row.addEventListener("focusout", (event) => {
      if (!row.contains(event.relatedTarget)) save(row);
    });
    const mark = row.querySelector("[data-mark]");
    mark.addEventListener("focus", () => open(row));
    mark.addEventListener("click", () => keep(row));
  }
  const keep = async (row) => {
    const next = rows[rows.indexOf(row) + 1];
    close();
    if (next) cells(next)[0].focus();
    try { shown(await send("/cards/keep", { team: row.dataset.team })); } catch (problem) { /* asked again */ }
  };
  ask.querySelector("[data-keep]").addEventListener("click", () => { if (asked) keep(asked); });
  form.addEventListener("focusin", (event) => {
    if (asked && !asked.contains(event.target) && !ask.contains(event.target)) close();
  });

  form.addEventListener("keydown", (event) => {
    const row = event.target.closest("tr[data-team]");
    if (!row || event.target.tagName !== "INPUT") return;
    const here = cells(row), at = here.indexOf(event.target), line = rows.indexOf(row);
    const go = (to, column) => { if (to) { const cell = cells(to)[column]; cell.focus(); cell.select(); } };
    if (event.key === "Enter") {
      event.preventDefault();
      if (at + 1 < here.length) go(row, at + 1);
      else if (rows[line + 1]) go(rows[line + 1], cells(rows[line + 1])[0].value ? 1 : 0);
      else save(row);
    } else if (event.key === "ArrowDown") { event.preventDefault(); go(rows[line + 1], at); }
    else if (event.key === "ArrowUp") { event.preventDefault(); go(rows[line - 1], at); }
  });
  addEventListener("pagehide", () => rows.forEach(save));

  const look = () => fetch("/cards/now?session=" + encodeURIComponent(form.dataset.session))
    .then((answer) => answer.json()).then(shown).catch(() => {});
  look();
  const first = rows.find((row) => written(row).split("|").slice(1).every((text) => !text)) || rows[0];
  if (first && !document.querySelector(":focus")) cells(first)[cells(first)[0].value ? 1 : 0].focus();
  const stream = new EventSource("/live");
  let seen = null;
  stream.onmessage = (event) => {
    const news = JSON.parse(event.data);
    if (seen !== null && news.entries !== seen) look();
    seen = news.entries;
  };
  addEventListener("pagehide", () => stream.close());
})();
