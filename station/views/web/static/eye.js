// The eye line: the eye moves on a circle about the top of the column; the mark it sees is d tan(angle) away.
"use strict";
(() => {
  const mover = document.getElementById("eye"), says = document.getElementById("eye-says");
  const eye = JSON.parse(mover.dataset.eye);
  const minus = "\u2212", narrow = "\u202f";
  const number = (value, digits) => value.toFixed(digits).replace("-", minus);
  const set = (node, values) => { for (const [name, value] of Object.entries(values)) node.setAttribute(name, value); };

  const sentence = (angle, error) => {
    const value = number(eye.shown + error, 1) + narrow + eye.unit;
    if (Math.abs(error) < 0.05) return eye.level.replace("{value}", value);
    const words = {
      angle: number(Math.abs(angle), 0), value, error: number(Math.abs(error), 1) + narrow + eye.unit,
      way: error > 0 ? eye.warm : eye.cool,
    };
    return (angle > 0 ? eye.low : eye.high).replace(/\{(\w+)\}/g, (_, name) => words[name]);
  };

  const move = () => {
    const angle = -Number(mover.value);  // the slider goes up to the right, the angle counts downwards
    const turn = angle * Math.PI / 180, rise = eye.behind * eye.gap_mm * Math.tan(turn);
    for (const at of eye.stages) {
      const sight = document.getElementById("sight-" + at.name);
      const [line, mark] = sight.querySelectorAll("line"), [white, iris] = sight.querySelectorAll("circle");
      const x = at.tube + at.radius * Math.cos(turn), y = at.middle + at.radius * Math.sin(turn);
      const end = Math.min(at.marks, at.tube), seen = at.middle - rise * at.mm;
      const gaze = 0.28 * white.getAttribute("r") / 0.62;
      set(line, { x1: x, y1: y, x2: end, y2: at.middle - (at.tube - end) * Math.tan(turn) });
      set(mark, { y1: seen, y2: seen });
      set(white, { cx: x, cy: y });
      set(iris, { cx: x - gaze * Math.cos(turn), cy: y - gaze * Math.sin(turn) });
    }
    says.textContent = sentence(angle, rise / eye.degree_mm);
  };
  mover.addEventListener("input", move);
  mover.value = -30;
  move();
})();
