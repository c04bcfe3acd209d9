// The engraved score as a place: where bars and noteheads stand, room below the systems, the bar that sounds.
import { engraveInto } from "../repertoire/engraving.js";

const SVG = "http://www.w3.org/2000/svg";

export function shape(name, attributes = {}, text = "") {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (text) element.textContent = text;
  return element;
}

const GAP_PX = 14; // between the lowest thing below a system and the highest of the next
const FOOT_PX = 8;

export class Score {
  constructor(root) {
    this.root = root;
    this.read();
  }

  // Take the geometry from the drawing itself; lengths are the inner drawing's units.
  read() {
    this.outer = this.root.querySelector("svg");
    this.inner = this.outer.querySelector("svg.definition-scale");
    this.rescale();
    this.systems = [...this.inner.querySelectorAll("g.system")].map(readSystem);
    this.measures = new Map();
    for (const system of this.systems) for (const bar of system.bars) this.measures.set(bar.id, bar);
    for (const bar of this.measures.values()) {
      bar.hit = shape("rect", { class: "bar-hit", x: bar.x, width: bar.width });
      bar.element.insertBefore(bar.hit, bar.element.firstChild);
    }
  }

  // After the page's width changed without a new drawing.
  rescale() {
    this.unitsPerPx = this.inner.viewBox.baseVal.width / this.outer.getBoundingClientRect().width;
  }

  // Draw the music anew for a width; false where the server could not be reached.
  async engraveFor(width) {
    const drawn = await engraveInto(this.root, this.root.dataset.svgUrl, width);
    if (drawn) this.read();
    return drawn;
  }

  // Pack the systems with `roomFor(system)` pixels below each; returns nothing, moves everything.
  makeRoom(roomFor) {
    const units = this.unitsPerPx;
    let cursor = this.systems[0]?.top ?? 0;
    for (const system of this.systems) {
      const roomPx = roomFor(system);
      const room = roomPx * units;
      system.element.setAttribute("transform", `translate(0 ${cursor - system.top})`);
      system.roomTop = system.bottom + (roomPx ? FOOT_PX * units : 0);
      for (const bar of system.bars) {
        bar.hit.setAttribute("y", system.staffTop - 8 * units);
        bar.hit.setAttribute("height", system.roomTop + room - system.staffTop + 12 * units);
      }
      cursor += system.roomTop + room - system.top + GAP_PX * units;
    }
    const margin = this.inner.querySelector("g.page-margin");
    const above = margin.transform.baseVal.consolidate()?.matrix.f ?? 0;
    const inner = this.inner.viewBox.baseVal;
    const outer = this.outer.viewBox.baseVal;
    inner.height = cursor + above;
    outer.height = (inner.height * outer.width) / inner.width;
  }

  mark(measureId, moveAlong) {
    this.root.querySelector(".measure.now")?.classList.remove("now");
    const bar = this.measures.get(measureId);
    if (!bar) return;
    bar.element.classList.add("now");
    if (moveAlong) this.bringIntoView(bar);
  }

  bringIntoView(bar) {
    const box = bar.hit.getBoundingClientRect();
    const player = document.getElementById("player").getBoundingClientRect();
    const pane = this.root.closest(".music-pane").getBoundingClientRect();
    if (box.top >= Math.max(0, pane.top) && box.bottom <= Math.min(player.top, pane.bottom)) return;
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    bar.hit.scrollIntoView({ block: "start", inline: "nearest", behavior: still ? "auto" : "smooth" });
  }

  // Bars that are printed but not asked for stand back, and say so.
  standBack(asked, words) {
    for (const bar of this.measures.values()) {
      const unasked = !asked.has(bar.id);
      bar.element.classList.toggle("unasked", unasked);
      bar.hit.replaceChildren(...(unasked ? [shape("title", {}, words(bar.id))] : []));
    }
  }

  // Where the music has a pane of its own, the first line asked for is to be seen in it from the start.
  showFirst(asked) {
    const pane = this.root.closest(".music-pane");
    const system = this.systems.find((candidate) => candidate.bars.some((bar) => asked.has(bar.id)));
    if (!system || pane.scrollHeight <= pane.clientHeight) return;
    const [line, frame] = [system.element, pane].map((element) => element.getBoundingClientRect());
    const player = document.getElementById("player").getBoundingClientRect();
    if (line.bottom > Math.min(frame.bottom, player.top)) pane.scrollTop += line.top - frame.top - FOOT_PX;
  }

  noteheadX(noteId) {
    const note = this.inner.getElementById(noteId);
    const head = note?.querySelector(".notehead");
    if (!head) return null;
    const box = head.getBBox();
    return box.x + box.width / 2;
  }
}

function readSystem(element) {
  const bars = [...element.querySelectorAll("g.measure")].map((measure) => {
    const lines = [...measure.querySelectorAll(":scope > g.staff > path")].map((path) => path.getBBox());
    const box = measure.getBBox();
    const x = Math.min(...lines.map((line) => line.x));
    const right = Math.max(...lines.map((line) => line.x + line.width));
    return {
      id: measure.id,
      element: measure,
      x,
      width: right - x,
      top: box.y,
      bottom: box.y + box.height,
      staffTop: Math.min(...lines.map((line) => line.y)),
    };
  });
  const spanning = [...element.children].filter((child) => child.classList.contains("spanning"));
  const boxes = spanning.map((child) => child.getBBox()).filter((box) => box.height > 0);
  return {
    element,
    bars,
    top: Math.min(...bars.map((bar) => bar.top), ...boxes.map((box) => box.y)),
    bottom: Math.max(...bars.map((bar) => bar.bottom), ...boxes.map((box) => box.y + box.height)),
    staffTop: Math.min(...bars.map((bar) => bar.staffTop)),
  };
}
