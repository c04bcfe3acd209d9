// A stretch of the take with its loudness and its bar lines, which can be dragged or moved by the arrow keys.

import { shape } from "./review_score.js";

const WINDOW_S = 12;
const STEP_S = 0.02;
const BIG_STEP_S = 0.2;
const APART_S = 0.05; // two bar lines never meet
const QUIET_LUFS = -60;
const HEIGHT = 100;

export class BarStrip {
  constructor(place, music, moved) {
    Object.assign(this, { place, music, moved });
    this.bars = music.take.bars.filter((bar) => bar.start_s !== null && !bar.left).map((bar) => Object.assign({}, bar));
    this.sound = place.querySelector(".strip-sound");
    this.lines = place.querySelector(".strip-lines");
    this.from = 0;
    music.player.addEventListener("bar", (event) => {
      if (event.detail && music.player.audio === music.player.own.audio) this.follow(event.detail.start_s);
    });
    this.lines.addEventListener("click", (event) => {
      if (event.target === this.lines) music.player.playFrom(this.timeAt(event.clientX));
    });
  }

  get end() {
    const { duration } = this.music.player.own.audio;
    return Number.isFinite(duration) ? duration : (this.bars.at(-1)?.end_s ?? WINDOW_S);
  }

  // Keeps the bar that sounds in view, a little right of the edge.
  follow(seconds) {
    if (this.held || this.lines.contains(document.activeElement)) return;
    if (seconds >= this.from + 1 && seconds <= this.from + WINDOW_S - 3) return;
    this.from = Math.max(0, Math.min(seconds - 2, this.end - WINDOW_S));
    if (!this.place.hidden) this.draw();
  }

  draw() {
    this.drawSound();
    this.lines.replaceChildren();
    for (const bar of this.bars)
      if (bar.start_s >= this.from - 0.01 && bar.start_s <= this.from + WINDOW_S) this.lines.append(this.handle(bar));
  }

  drawSound() {
    const { step_s: step, lufs } = this.music.take.loudness;
    this.sound.setAttribute("viewBox", `0 0 ${WINDOW_S} ${HEIGHT}`);
    this.sound.replaceChildren();
    if (!lufs.length) return;
    const heard = lufs.filter((level) => level !== null);
    const top = Math.max(...heard);
    const bottom = Math.max(QUIET_LUFS, Math.min(...heard) - 3);
    const first = Math.max(0, Math.floor(this.from / step));
    const points = lufs.slice(first, first + Math.ceil(WINDOW_S / step) + 1).map((level, i) => {
      const share = level === null ? 0 : Math.max(0, (level - bottom) / (top - bottom || 1));
      return `${(first + i) * step - this.from},${HEIGHT - 0.9 * HEIGHT * share}`;
    });
    if (points.length) this.sound.append(shape("polygon", { points: `0,${HEIGHT} ${points.join(" ")} ${WINDOW_S},${HEIGHT}` }));
    for (const note of this.music.take.notes) {
      const x = note.onset_s - this.from;
      if (note.onset_s !== null && x >= 0 && x <= WINDOW_S) this.sound.append(shape("path", { d: `M${x} ${HEIGHT}v-12` }));
    }
  }

  handle(bar) {
    const words = this.music.barWords(bar);
    const handle = document.createElement("button");
    handle.type = "button";
    handle.setAttribute("role", "slider");
    handle.setAttribute("aria-label", this.place.dataset.line.replace("{bar}", words));
    handle.textContent = bar.bar;
    this.stand(handle, bar);
    handle.addEventListener("pointerdown", (event) => this.grab(event, handle, bar));
    handle.addEventListener("keydown", (event) => this.step(event, handle, bar));
    return handle;
  }

  stand(handle, bar) {
    const [low, high] = this.room(bar);
    handle.style.left = `${(100 * (bar.start_s - this.from)) / WINDOW_S}%`;
    for (const [name, value] of [["min", low], ["max", high], ["now", bar.start_s]])
      handle.setAttribute(`aria-value${name}`, value.toFixed(2));
    handle.setAttribute("aria-valuetext", `${bar.start_s.toFixed(2)} s`);
  }

  // From the line before to the line after.
  room(bar) {
    const at = this.bars.indexOf(bar);
    return [(this.bars[at - 1]?.start_s ?? -APART_S) + APART_S, (this.bars[at + 1]?.start_s ?? this.end) - APART_S];
  }

  move(handle, bar, seconds) {
    const [low, high] = this.room(bar);
    bar.start_s = Math.min(Math.max(seconds, low), high);
    this.stand(handle, bar);
    handle.classList.add("moved");
    this.moved(bar, bar.start_s);
  }

  step(event, handle, bar) {
    const way = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (!way) return;
    event.preventDefault();
    event.stopPropagation();
    this.move(handle, bar, bar.start_s + way * (event.shiftKey ? BIG_STEP_S : STEP_S));
  }

  grab(event, handle, bar) {
    const off = this.timeAt(event.clientX) - bar.start_s;
    this.held = true;
    handle.setPointerCapture(event.pointerId);
    const drag = (now) => this.move(handle, bar, this.timeAt(now.clientX) - off);
    handle.addEventListener("pointermove", drag);
    const letGo = () => {
      this.held = false;
      handle.removeEventListener("pointermove", drag);
    };
    handle.addEventListener("lostpointercapture", letGo, { once: true });
  }

  timeAt(clientX) {
    const box = this.lines.getBoundingClientRect();
    return this.from + (WINDOW_S * (clientX - box.left)) / box.width;
  }
}
