// Draws the printed music to fit its frame; the page brings a first drawing that stands without this script.
const STEP_PX = 20;

const frame = document.querySelector("[data-score]");

function room() {
  const style = getComputedStyle(frame);
  const inner = frame.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
  return Math.floor(inner / STEP_PX) * STEP_PX;
}

async function draw() {
  const width = room();
  if (width <= 0 || Math.abs(width - Number(frame.dataset.width)) < STEP_PX) return;
  const answer = await fetch(`${frame.dataset.score}?plain=1&width=${width}`, { credentials: "same-origin" });
  if (!answer.ok || answer.redirected) return;
  const drawing = new DOMParser().parseFromString(await answer.text(), "image/svg+xml").documentElement;
  if (drawing.localName !== "svg") return;
  frame.replaceChildren(document.importNode(drawing, true));
  frame.dataset.width = String(width);
}

if (frame) {
  let waiting;
  new ResizeObserver(() => {
    clearTimeout(waiting);
    waiting = setTimeout(() => draw().catch(() => {}), 150);
  }).observe(frame);
}
