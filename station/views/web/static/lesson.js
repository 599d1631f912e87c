// Two drawings that can be moved: the eye beside the tube, and the minutes of waiting.
"use strict";
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const add = (place, name, attributes, text) => {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    if (text !== undefined) made.textContent = text;
    place.append(made);
    return made;
  };
  const set = (id, attributes) => {
    for (const [key, value] of Object.entries(attributes)) document.getElementById(id).setAttribute(key, value);
  };
  const read = document.getElementById("read");
  const minus = (text) => text.replace("-", "\u2212");
  const say = (words, values) => { read.textContent = words.replace(/\{(\w+)\}/g, (_, name) => minus(values[name])); };

  const eye = document.getElementById("eye");
  if (eye) {  // lengths in units of the drawing; 60 units are one degree, the column stands at 20
    const degree = 60, level = 380, eyeX = 240, columnX = 1218, marksX = eye.dataset.behind === "1" ? 1400 : 1090;
    const marks = document.getElementById("marks");
    for (let value = 15; value <= 25; value++) {
      const y = level - (value - 20) * degree;
      add(marks, "line", { class: "tick", x1: marksX, x2: marksX + 60, y1: y, y2: y });
      add(marks, "text", { x: marksX + 80, y: y + 12 }, String(value));
    }
    const move = () => {
      const y = level - Number(eye.value) * 5.5;
      const slope = (level - y) / (columnX - eyeX);
      const at = y + slope * (marksX - eyeX);
      const end = eye.dataset.behind === "1" ? at : level;
      set("aim", { y1: y, x2: Math.max(marksX, columnX), y2: end });
      document.getElementById("eyeball").setAttribute("transform", `translate(0 ${y})`);
      say(eye.dataset.words, { value: (20 + (level - at) / degree).toFixed(1) });
    };
    eye.addEventListener("input", move);
    move();
  }

  const wait = document.getElementById("wait");
  if (wait) {
    const { start, end, tau } = Object.fromEntries(["start", "end", "tau"].map((key) => [key, Number(wait.dataset[key])]));
    const value = (minutes) => end + (start - end) * Math.exp((-60 * minutes) / tau);
    const low = Math.min(start, end) - 1, high = Math.max(start, end) + 1;
    const x = (minutes) => 160 + (minutes / 12) * 1560, y = (c) => 660 - ((c - low) / (high - low)) * 600;
    const grid = document.getElementById("grid");
    for (let c = Math.ceil(low / 5) * 5; c <= high; c += 5) {
      add(grid, "line", { class: "rule", x1: 160, x2: 1720, y1: y(c), y2: y(c) });
      add(grid, "text", { class: "degree", x: 130, y: y(c) + 12 }, minus(String(c)));
    }
    for (let minutes = 0; minutes <= 12; minutes += 2) add(grid, "text", { class: "label", x: x(minutes), y: 705 }, String(minutes));
    add(grid, "line", { class: "aim", x1: 160, x2: 1720, y1: y(end), y2: y(end) });
    const points = [];
    for (let minutes = 0; minutes <= 12; minutes += 0.1) points.push(`${x(minutes).toFixed(1)} ${y(value(minutes)).toFixed(1)}`);
    const curve = document.getElementById("curve");
    const move = () => {
      const minutes = Number(wait.value);
      curve.setAttribute("d", "M" + points.slice(0, Math.round(minutes * 10) + 1).join("L"));
      set("now", { cx: x(minutes), cy: y(value(minutes)) });
      say(wait.dataset.words, { minutes: String(minutes), value: value(minutes).toFixed(1) });
    };
    wait.addEventListener("input", move);
    move();
  }
})();
