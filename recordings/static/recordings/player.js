// The take's sound: own controls over the browser's audio element, and the bar that sounds at any moment.
// Sends "bar" (detail: the played bar or null) when another bar begins.
import { Span } from "./span.js";

const BACK_S = 2;
const REACH_S = 1.0; // back to the start of this bar when further in than this, else to the bar before

export class Player extends EventTarget {
  constructor(section, bars) {
    super();
    this.section = section;
    this.bars = bars.filter((bar) => bar.start_s !== null).sort((a, b) => a.start_s - b.start_s);
    this.audio = section.querySelector("audio");
    this.own = { audio: this.audio, bars: this.bars };
    this.bar = null;
    this.span = new Span(this.audio);
    this.listen();
  }

  // The same controls for another recording of the music, from this moment of it on.
  use({ audio, bars }, at) {
    const playing = this.playing;
    this.span.forget();
    this.audio.pause();
    if (audio !== this.own.audio && !audio.dataset.known) this.hearOf(audio);
    audio.playbackRate = this.audio.playbackRate;
    Object.assign(this, { audio, bars });
    this.seek(at);
    if (playing) this.play();
  }

  // What stands on the page speaks of its own take.
  backToOwn() {
    if (this.audio !== this.own.audio) this.dispatchEvent(new Event("own"));
  }

  hearOf(audio) {
    audio.dataset.known = "yes";
    audio.preservesPitch = true;
    for (const kind of ["timeupdate", "seeked", "loadedmetadata", "durationchange"])
      audio.addEventListener(kind, () => this.refresh());
    for (const kind of ["play", "pause", "ended"]) audio.addEventListener(kind, () => this.turned());
  }

  listen() {
    const own = this.section.querySelector(".player-own");
    own.hidden = false;
    this.audio.controls = false;
    this.button = own.querySelector("#play");
    this.seekBar = own.querySelector("#seek");
    this.time = own.querySelector("#now-time");
    this.button.addEventListener("click", () => this.toggle());
    own.querySelector("#two-back").addEventListener("click", () => this.back());
    for (const [id, direction] of [["#bar-before", -1], ["#bar-after", 1]]) {
      const button = own.querySelector(id);
      button.hidden = !this.bars.length;
      button.addEventListener("click", () => this.step(direction));
    }
    this.seekBar.addEventListener("input", () => this.seek(Number(this.seekBar.value)));
    for (const speed of own.querySelectorAll("input[name=speed]"))
      speed.addEventListener("change", () => this.setSpeed(Number(speed.value)));
    this.hearOf(this.audio);
  }

  get playing() {
    return !this.audio.paused;
  }

  setSpeed(rate) {
    this.audio.defaultPlaybackRate = rate;
    this.audio.playbackRate = rate;
  }

  toggle() {
    this.span.forget();
    if (this.playing) this.audio.pause();
    else this.play();
  }

  play() {
    // A refusal (no sound yet, or the person stopped again at once) leaves the button saying Play.
    this.audio.play().catch(() => this.turned());
  }

  seek(seconds) {
    this.span.forget();
    this.audio.currentTime = seconds;
    this.refresh(seconds);
  }

  playFrom(seconds) {
    this.backToOwn();
    this.seek(seconds);
    this.play();
  }

  // Playing goes on; also within a remark's places, whose end still stops it.
  back() {
    this.audio.currentTime = Math.max(0, this.audio.currentTime - BACK_S);
    this.refresh();
  }

  playSpans(spans) {
    this.backToOwn();
    this.span.begin(spans);
    this.refresh(spans[0][0]);
    this.play();
  }

  step(direction) {
    const now = this.audio.currentTime;
    let index = this.bars.findLastIndex((bar) => bar.start_s <= now + 0.01);
    if (direction > 0) index += 1;
    else if (index >= 0 && now - this.bars[index].start_s < REACH_S) index -= 1;
    const bar = this.bars[Math.min(Math.max(index, 0), this.bars.length - 1)];
    if (bar) this.seek(bar.start_s);
  }

  barAt(seconds) {
    const bar = this.bars.findLast((candidate) => candidate.start_s <= seconds + 0.01);
    return bar && (bar.end_s === null || seconds < bar.end_s) ? bar : null;
  }

  turned() {
    const { play, stop } = this.section.dataset;
    this.button.textContent = this.playing ? stop : play;
    if (this.playing) requestAnimationFrame(() => this.tick());
  }

  tick() {
    this.refresh();
    if (this.playing) requestAnimationFrame(() => this.tick());
  }

  refresh(at = this.audio.currentTime) {
    this.span.check();
    const whole = Number.isFinite(this.audio.duration) ? this.audio.duration : (this.bars.at(-1)?.end_s ?? 0);
    this.seekBar.max = String(whole);
    this.seekBar.value = String(at);
    this.seekBar.setAttribute("aria-valuetext", clock(at));
    this.time.textContent = `${clock(at)} / ${clock(whole)}`;
    const bar = this.barAt(at);
    if (bar?.start_s === this.bar?.start_s) return;
    this.bar = bar;
    this.dispatchEvent(new CustomEvent("bar", { detail: bar }));
  }
}

export function clock(seconds) {
  const whole = Math.floor(seconds);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}
