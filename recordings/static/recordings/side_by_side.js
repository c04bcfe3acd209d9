// Two takes of the same music: any bars of the one, then the same bars of the other; the sounding bar is marked.
import { Span } from "./span.js";

const SVG = "http://www.w3.org/2000/svg";
const figure = document.querySelector("[data-score]");
const place = document.querySelector("[data-stretch]");
const both = document.querySelector("[data-both]");
const takes = new Map([...document.querySelectorAll("audio[data-take]")].map((audio) => [audio.dataset.take, { audio, span: new Span(audio) }]));
const pairs = [...document.querySelectorAll("[data-pair]")].map((row) => ({
  row, measure: row.dataset.measure, one: JSON.parse(row.dataset.one), other: JSON.parse(row.dataset.other),
}));
let next = null; // what is heard when this one has come to its end

function mark(pair) {
  for (const old of document.querySelectorAll("[data-pair][aria-current], [data-sounding-bar]"))
    if (old.matches("li")) old.removeAttribute("aria-current");
    else old.remove();
  if (!pair) return;
  pair.row.setAttribute("aria-current", "true");
  const bar = figure.querySelector(`[id="${CSS.escape(pair.measure)}"]`);
  if (!bar) return;
  const { x, y, width, height } = bar.getBBox();
  const band = document.createElementNS(SVG, "rect");
  for (const [name, value] of Object.entries({ x, y, width, height, class: "sounding-bar" })) band.setAttribute(name, value);
  band.dataset.soundingBar = "";
  bar.prepend(band);
}

function follow(name) {
  const { audio } = takes.get(name);
  const at = audio.currentTime;
  const pair = audio.paused ? null : pairs.find((one) => one[name] && one[name][0] <= at && at < one[name][1]);
  if (pair?.row !== document.querySelector("[data-pair][aria-current]")) mark(pair);
}

// With `then` the other take follows when this one has come to the end of its bars.
function play(name, [startS, endS], then = null) {
  next = null;
  for (const [other, { audio }] of takes) if (other !== name) audio.pause();
  const { audio, span } = takes.get(name);
  span.begin([[startS, endS]]);
  next = then;
  audio.play().catch(() => {});
}

function stretchOf(name) {
  const [from, to] = ["from", "to"].map((end) => Number(place.querySelector(`[data-${end}]`).value));
  const spans = pairs.slice(Math.min(from, to), Math.max(from, to) + 1).map((pair) => pair[name]).filter(Boolean);
  return spans.length ? [Math.min(...spans.map(([start]) => start)), Math.max(...spans.map(([, end]) => end))] : null;
}

function stop() {
  next = null;
  for (const { audio } of takes.values()) audio.pause();
}

const isPlaying = () => [...takes.values()].some(({ audio }) => !audio.paused);

for (const [name, { audio, span }] of takes) {
  for (const kind of ["timeupdate", "play"]) audio.addEventListener(kind, () => follow(name));
  audio.addEventListener("play", () => { both.textContent = both.dataset.stop; });
  audio.addEventListener("pause", () => {
    span.forget();
    const then = next;
    next = null;
    if (then) then();
    else if (!isPlaying()) { mark(null); both.textContent = both.dataset.words; }
  });
}
for (const { row, ...spans } of pairs)
  for (const button of row.querySelectorAll("[data-play]")) {
    button.hidden = false;
    button.addEventListener("click", () => play(button.dataset.play, spans[button.dataset.play]));
  }
both.addEventListener("click", () => {
  if (isPlaying()) return stop();
  const [one, other] = [stretchOf("one"), stretchOf("other")];
  if (one) play("one", one, other && (() => play("other", other)));
  else if (other) play("other", other);
});
place.hidden = false;
