// Draws the printed music to fit its frame; the page brings a first drawing that stands without this script.
import { engraveInto } from "./engraving.js";

const STEP_PX = 20;

function room(frame) {
  const style = getComputedStyle(frame);
  const inner = frame.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
  return Math.floor(inner / STEP_PX) * STEP_PX;
}

async function draw(frame) {
  const width = room(frame);
  if (width <= 0 || Math.abs(width - Number(frame.dataset.width)) < STEP_PX) return;
  const address = new URL(frame.dataset.score, location.href);
  address.searchParams.set("plain", "1");
  await engraveInto(frame, address.href, width);
}

export function keepFitting(frame) {
  let waiting;
  new ResizeObserver(() => {
    clearTimeout(waiting);
    waiting = setTimeout(() => draw(frame), 150);
  }).observe(frame);
}

const shown = document.querySelector("[data-score]");
if (shown) keepFitting(shown);
