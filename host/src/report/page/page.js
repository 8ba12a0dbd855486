// Zoom, pan and read-off for every picture. Without this the page is whole: it only does not move.
"use strict";
document.documentElement.classList.add("js");

/** Steps of a curve as the page draws them: [x, y] from each x on, and null where a gap begins. */
function steps(d) {
  const found = [];
  let x = 0, y = 0;
  for (const [, command, numbers] of d.matchAll(/([Mhv])([^Mhv]*)/g)) {
    const n = numbers.trim().split(/\s+/).map(Number);
    if (command === "M") {
      if (found.length) found.push([x, null]);
      [x, y] = n;
      found.push([x, y]);
    } else if (command === "h") {
      x += n[0];
    } else {
      y += n[0];
      found.push([x, y]);
    }
  }
  if (found.length) found.push([x, null]);
  return found;
}

/** The height of a curve at x, or null where nothing is known. */
function heightAt(curve, x) {
  let low = 0, high = curve.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (curve[middle][0] <= x) low = middle + 1; else high = middle;
  }
  return low ? curve[low - 1][1] : null;
}

function valueOf(path, height) {
  const { low, high, shape } = path.dataset;
  let part = 1 - height / 1000;
  if (shape === "root") part *= part;
  return Number(low) + part * (high - low);
}

const two = n => String(Math.floor(n)).padStart(2, "0");
const clock = (seconds, ofDay) => {
  const s = ofDay ? Math.round(seconds) % 86400 : Math.round(seconds);
  return `${two(s / 3600)}:${two(s / 60 % 60)}:${two(s % 60)}`;
};
const number = (v, unit) => v.toFixed(unit.startsWith("°") ? 1 : v < 10 ? 2 : v < 100 ? 1 : 0);

function alive(figure) {
  const whole = Number(figure.dataset.span);
  const plot = figure.querySelector(".plot"), slider = figure.querySelector(".read-at");
  const output = figure.querySelector("output"), cursor = figure.querySelector(".cursor");
  const times = figure.querySelector(".times"), day = Number(times.dataset.day);
  const ofDay = "clock" in figure.dataset;
  const svgs = [...figure.querySelectorAll(".panel svg")];
  const placed = [...figure.querySelectorAll("[data-a]")].map(e => [e, Number(e.dataset.a), e.dataset.b === undefined ? null : Number(e.dataset.b)]);
  const told = placed.filter(([e]) => e.dataset.told);
  let curves = null, from = 0, to = whole, at = null;

  const part = x => (x - from) / (to - from) * 100;

  function show() {
    for (const svg of svgs) {
      const height = svg.viewBox.baseVal.height;
      svg.setAttribute("viewBox", `${from} 0 ${to - from} ${height}`);
    }
    for (const [e, a, b] of placed) {
      const out = (b ?? a) < from || a > to;
      e.style.visibility = out ? "hidden" : "";
      if (out) continue;
      const left = Math.max(part(a), b === null ? -10 : 0);
      e.style.left = `${left}%`;
      if (b !== null) e.style.width = `${Math.min(part(b), 100) - left}%`;
    }
    ticks();
    slider.min = from; slider.max = to;
    slider.step = Math.max(1, Math.round((to - from) / 400));
    const all = from === 0 && to === whole;
    for (const b of figure.querySelectorAll("button")) {
      b.disabled = all && b.dataset.do !== "in" || b.dataset.do === "in" && to - from <= 100;
    }
    if (at !== null) point(Math.min(Math.max(at, from), to));
  }

  /** Round times below the picture, never more than fit. */
  function ticks() {
    const span = (to - from) / 10, fit = Math.max(2, Math.min(8, Math.floor(plot.clientWidth / 80)));
    const step = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400].find(s => span / s <= fit) ?? 43200;
    const begin = day + from / 10, all = [];
    for (let t = Math.ceil(begin / step) * step; t <= begin + span; t += step) {
      const tick = document.createElement("span");
      const left = (t - begin) / span * 100;
      tick.style.left = `${left}%`;
      tick.textContent = clock(t, ofDay);
      if ((100 - left) / 100 * plot.clientWidth > 60) all.push(tick);
    }
    times.replaceChildren(...all);
  }

  /** Reads off at x. */
  function point(x) {
    at = x;
    curves ??= [...figure.querySelectorAll(".curve")].map(path => [path, steps(path.getAttribute("d"))]);
    cursor.hidden = false;
    cursor.style.left = `${part(x)}%`;
    const words = [clock(day + x / 10, ofDay)];
    const here = told.filter(([, a, b]) => a <= x && x < b);
    if (here.length) words.push(here[here.length - 1][0].dataset.told);
    for (const [path, curve] of curves) {
      const height = heightAt(curve, x), { name, unit } = path.dataset;
      if (height !== null) words.push(`${name} ${number(valueOf(path, height), unit)} ${unit}`.trim());
    }
    output.textContent = words.join(" · ");
    slider.value = x;
    slider.setAttribute("aria-valuetext", output.textContent);
  }

  function look(a, b) {
    const span = Math.min(Math.max(b - a, 100), whole);
    const begin = Math.min(Math.max(a, 0), whole - span);
    from = Math.round(begin); to = Math.round(begin + span);
    show();
  }

  const zoom = (factor, around = at ?? (from + to) / 2) => look(around - (around - from) * factor, around + (to - around) * factor);
  const pan = parts => look(from + (to - from) * parts, to + (to - from) * parts);
  const actions = { in: () => zoom(.5), out: () => zoom(2), back: () => pan(-.4), on: () => pan(.4), whole: () => look(0, whole) };

  for (const button of figure.querySelectorAll("button")) button.addEventListener("click", () => actions[button.dataset.do]());
  slider.addEventListener("input", () => point(Number(slider.value)));
  slider.addEventListener("keydown", event => {
    const action = { "+": "in", "=": "in", "-": "out", "0": "whole", PageUp: "on", PageDown: "back" }[event.key];
    if (!action || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    actions[action]();
  });

  const xOf = event => {
    const box = plot.getBoundingClientRect();
    return from + Math.min(Math.max((event.clientX - box.left) / box.width, 0), 1) * (to - from);
  };
  const fingers = new Map();
  let grip = null, moved = false;
  plot.addEventListener("pointerdown", event => {
    if (event.target.closest("a")) return;
    fingers.set(event.pointerId, event.clientX);
    grip = { from, to, x: xOf(event), clientX: event.clientX, apart: null };
    moved = false;
    if (fingers.size === 2) {
      const [a, b] = [...fingers.values()];
      grip.apart = Math.abs(a - b) || 1;
      grip.middle = from + ((a + b) / 2 - plot.getBoundingClientRect().left) / plot.clientWidth * (to - from);
    }
    plot.setPointerCapture(event.pointerId);
  });
  plot.addEventListener("pointermove", event => {
    if (fingers.has(event.pointerId)) fingers.set(event.pointerId, event.clientX);
    if (fingers.size === 2 && grip?.apart) {
      const [a, b] = [...fingers.values()];
      const factor = grip.apart / Math.max(Math.abs(a - b), 1);
      look(grip.middle - (grip.middle - grip.from) * factor, grip.middle + (grip.to - grip.middle) * factor);
    } else if (fingers.size === 1 && grip && (from > 0 || to < whole)) {
      const by = (grip.clientX - event.clientX) / plot.clientWidth * (grip.to - grip.from);
      moved ||= Math.abs(grip.clientX - event.clientX) > 4;
      if (moved) look(grip.from + by, grip.to + by);
    } else {
      point(xOf(event));
    }
  });
  for (const end of ["pointerup", "pointercancel"]) {
    plot.addEventListener(end, event => {
      if (!moved && fingers.size === 1) point(xOf(event));
      fingers.delete(event.pointerId);
    });
  }
  plot.addEventListener("dblclick", event => zoom(.4, xOf(event)));
  plot.addEventListener("wheel", event => {
    // With Ctrl only: a page that scrolls must go on scrolling.
    if (!event.ctrlKey && !event.metaKey) return;
    event.preventDefault();
    zoom(event.deltaY < 0 ? .8 : 1.25, xOf(event));
  }, { passive: false });

  // Paper shows all of it.
  addEventListener("beforeprint", () => look(0, whole));
  new ResizeObserver(ticks).observe(plot);
  show();
}

for (const figure of document.querySelectorAll("figure.cycle")) alive(figure);

// Where a link leads is unfolded. What is folded stays so on paper.
const unfold = () => document.getElementById(location.hash.slice(1))?.querySelector("details")?.setAttribute("open", "");
addEventListener("hashchange", unfold);
unfold();
