// A bar is the unit of talk: choosing one outlines it in the music and marks what is noted there;
// on a wide page each note stands beside the line of music that holds its bar.
const frame = document.querySelector("[data-margin] [data-score]");
const aside = document.querySelector("[data-margin] .margin");
const WIDE = matchMedia("(min-width: 60.01rem)");
const GAP_PX = 10;

function inFrame(element) {
  const box = element.getBoundingClientRect();
  const outer = frame.getBoundingClientRect();
  return { left: box.left - outer.left + frame.scrollLeft, top: box.top - outer.top, width: box.width, height: box.height };
}

// One staff's box says where the bar stands; the whole bar reaches as far as its highest slur.
function barBox(id) {
  const bar = frame.querySelector(`[id="${CSS.escape(id)}"]`);
  const staff = bar && (bar.querySelector(".staff") || bar);
  return staff ? inFrame(staff) : null;
}

let outlined = null;

function outline(id) {
  outlined = id;
  frame.querySelector("[data-bar-outline]")?.remove();
  const box = id && barBox(id);
  if (!box) return;
  const drawn = document.createElement("span");
  drawn.dataset.barOutline = id;
  Object.assign(drawn.style, { left: `${box.left - 4}px`, top: `${box.top - 6}px`, width: `${box.width + 8}px`, height: `${box.height + 12}px` });
  frame.append(drawn);
}

const lines = aside ? [...aside.querySelectorAll("[data-bars]")] : [];
const choice = aside?.querySelector("[data-bar]");
const status = aside?.querySelector("[data-at-bar-status]");

function choose(id, { scroll = false } = {}) {
  outline(id);
  const here = lines.filter((line) => line.dataset.bars.split(" ").includes(id));
  for (const line of lines) line.classList.toggle("here", here.includes(line));
  status.hidden = false;
  status.textContent = here.length ? status.dataset.some : status.dataset.none;
  if (scroll && !WIDE.matches) (here[0] || aside).scrollIntoView({ block: "nearest" });
}

// Between the staff's lines nothing is painted that could be hit, so the place decides.
function barAt(x, y) {
  const above = 24;
  return [...frame.querySelectorAll(".measure")].find((bar) => {
    const box = (bar.querySelector(".staff") || bar).getBoundingClientRect();
    return x >= box.left && x <= box.right && y >= box.top - above && y <= box.bottom + above;
  });
}

function barOfLabel(label) {
  return [...frame.querySelectorAll(".measure")].find((bar) => bar.dataset.n === label)?.id;
}

function labelOf(bar) {
  return bar.dataset.n ?? "";
}

// Beside its system where there is room; never over the line before it.
function place() {
  const list = aside.querySelector(".margin-lines");
  for (const line of lines) line.style.marginTop = "";
  if (!WIDE.matches) return;
  const top = list.getBoundingClientRect().top - frame.getBoundingClientRect().top;
  let reached = 0;
  for (const line of lines) {
    const box = line.dataset.bars && barBox(line.dataset.bars.split(" ")[0]);
    const wanted = box ? box.top - top : reached;
    const pushed = Math.max(0, wanted - reached);
    line.style.marginTop = `${pushed}px`;
    reached += pushed + line.getBoundingClientRect().height + GAP_PX;
  }
}

if (frame && aside) {
  frame.addEventListener("click", (event) => {
    const bar = barAt(event.clientX, event.clientY);
    if (!bar) return;
    choice.value = labelOf(bar);
    choose(bar.id, { scroll: true });
  });
  choice.addEventListener("change", () => choose(barOfLabel(choice.value)));
  for (const line of lines) {
    line.addEventListener("mouseenter", () => outline(line.dataset.bars.split(" ")[0]));
  }
  new MutationObserver((changes) => {
    if (!changes.some((change) => [...change.addedNodes].some((node) => node.localName === "svg"))) return;
    // Music drawn anew has taken the outline away with the old drawing.
    outline(outlined);
    place();
  }).observe(frame, { childList: true });
  new ResizeObserver(place).observe(frame);
  place();
}
