// Live sentences: one stream a page; where a stream does not come through, a question every ten seconds.
"use strict";
(() => {
  const fill = (news) => {
    for (const place of document.querySelectorAll("[data-live]")) {
      const text = news[place.dataset.live];
      if (text !== undefined && place.textContent !== text) place.textContent = text;
    }
    document.dispatchEvent(new CustomEvent("news", { detail: news }));
  };
  let asking = 0;
  const ask = () => fetch("/live/now").then((answer) => answer.json()).then(fill).catch(() => {});
  const begin = () => {
    const stream = new EventSource("/live");
    stream.onmessage = (event) => { clearInterval(asking); asking = 0; fill(JSON.parse(event.data)); };
    stream.onerror = () => { if (!asking) asking = setInterval(ask, 10000); };
    addEventListener("pagehide", () => stream.close());
  };
  begin();
})();
