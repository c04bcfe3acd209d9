// Records a take in the page. Kept recordings stay on this device until they are handed in or discarded.
import { clock } from "./player.js";
import { CountIn, takePlace, wait } from "./record_begin.js";
import { Listening, levelWord, noiseWord } from "./record_room.js";
import { RAW, fileOf, microphone, recordInto } from "./record_media.js";
import { RecordStore } from "./record_store.js";

const CHECK_MS = 3000;
const LOOK_MS = 200;
const DAY_MS = 86_400_000;

class Recorder {
  constructor(section, form, store) {
    Object.assign(this, { section, form, store, words: section.dataset, heard: new Audio() });
    this.status = section.querySelector("[data-record-status]");
    this.level = section.querySelector("[data-level]");
    this.check = section.querySelector("[data-check]");
    this.button = section.querySelector("[data-record]");
    this.list = section.querySelector("[data-recordings]");
    this.counting = section.querySelector("[data-count-in]");
    this.mock = section.querySelector("[data-mock]");
    this.dialog = section.querySelector("dialog");
    this.check.addEventListener("click", () => this.withMicrophone(() => this.checkRoom()));
    this.button.addEventListener("click", () => this.toggle());
    this.heard.addEventListener("ended", () => this.showKept());
    this.mock.addEventListener("click", () => this.dialog.showModal());
    this.dialog.addEventListener("close", () => {
      if (this.dialog.returnValue === "begin") this.withMicrophone(() => this.mockAudition());
      this.dialog.returnValue = "";
    });
    form.addEventListener("take-arrived", () => this.showKept());
  }

  say(...sentences) {
    this.status.textContent = sentences.filter(Boolean).join(" ");
  }

  async withMicrophone(use) {
    for (const button of [this.check, this.button, this.mock]) button.disabled = true;
    this.section.dataset.busy = "yes";
    try {
      this.stream = await microphone();
      this.listening = new Listening(this.stream);
      await use();
    } catch {
      this.say(this.words.noMicrophone);
      this.release();
    }
  }

  release() {
    clearInterval(this.looking);
    this.level.textContent = "";
    for (const track of this.stream?.getTracks() ?? []) track.stop();
    this.listening?.close();
    this.stream = null;
    this.listening = null;
    delete this.section.dataset.busy;
    for (const button of [this.check, this.button, this.mock]) button.disabled = false;
    this.button.textContent = this.words.recordWords;
    this.beginning = null;
  }

  // A browser may pass over what it was asked for, or not say whether it did.
  processed() {
    const settings = this.stream.getAudioTracks()[0].getSettings();
    this.section.dataset.processing = JSON.stringify(
      Object.fromEntries(Object.keys(RAW).map((name) => [name, settings[name] ?? null])),
    );
    return Object.keys(RAW).some((name) => settings[name] !== false) ? this.words.processed : "";
  }

  async watch(milliseconds) {
    const seen = [];
    for (const until = performance.now() + milliseconds; performance.now() < until;) {
      await wait(LOOK_MS);
      seen.push(this.listening.now());
    }
    return seen;
  }

  async checkRoom() {
    const processed = this.processed();
    this.say(this.words.beSilent);
    const silence = (await this.watch(CHECK_MS)).map((look) => look.rmsDb).sort((a, b) => a - b);
    const hum = this.listening.hum();
    this.say(this.words.playLoud);
    const loudest = Math.max(...(await this.watch(CHECK_MS)).map((look) => look.peakDb));
    this.release();
    this.check.classList.add("second");
    this.button.classList.remove("second");
    const room = this.words[noiseWord(silence[Math.floor(silence.length / 2)])];
    this.say(room, hum && this.words.hum, this.words[`${levelWord(loudest)}Check`], processed);
  }

  toggle() {
    if (this.media) this.media.stop();
    else if (this.beginning) this.beginning.abort();
    else this.withMicrophone(() => this.countAndRecord());
  }

  async countAndRecord() {
    if (!this.counting.checked) return this.record();
    this.say(this.words.countingIn);
    await this.after((signal) => new CountIn(this.counting.dataset).run(signal));
  }

  // Until the recording begins, the same button calls it off.
  async after(comes, how) {
    const beginning = new AbortController();
    this.beginning = beginning;
    this.button.textContent = this.words.notNow;
    this.button.disabled = false;
    await comes(beginning.signal);
    this.beginning = null;
    if (!beginning.signal.aborted) return this.record(how);
    this.release();
    this.say(this.words.calledOff);
  }

  // One go, as on the day. It is kept like any other recording, and never handed in by itself.
  async mockAudition() {
    this.section.scrollIntoView({ block: "nearest" });
    const tell = (left) => this.say(this.words.takePlace.replace("{left}", left));
    await this.after((signal) => takePlace(tell, signal), { mock: true });
  }

  record({ mock = false } = {}) {
    this.heard.pause();
    const recording = { id: crypto.randomUUID(), owner: this.words.owner, began: Date.now(), mock };
    const media = recordInto(this.store, this.stream, recording, async (written) => {
      this.media = null;
      this.release();
      const full = !(await written);
      this.say(mock && !full && this.words.mockOver, full ? this.words.full : this.words.kept);
      await this.showKept();
    });
    this.media = media;
    this.button.textContent = mock ? this.words.finished : this.words.stop;
    this.button.disabled = false;
    this.say(this.words.recording, this.processed());
    this.looking = setInterval(() => {
      const word = this.words[levelWord(this.listening.now().peakDb)];
      this.level.textContent = `${clock((Date.now() - recording.began) / 1000)} · ${word}`;
    }, LOOK_MS);
  }

  async showKept() {
    const kept = await this.store.of(this.words.owner);
    this.list.replaceChildren(...kept.map((recording) => this.row(recording)));
  }

  row(recording) {
    const line = document.createElement("li");
    const name = document.createElement("span");
    const when = new Date(recording.began).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
    name.className = "num";
    name.textContent = [recording.mock && this.words.mockWords, when, clock(recording.seconds)].filter(Boolean).join(" · ");
    const button = (text, act) => {
      const made = document.createElement("button");
      made.type = "button";
      made.className = "second";
      made.textContent = text;
      made.setAttribute("aria-label", `${text}: ${name.textContent}`);
      made.addEventListener("click", () => act(made));
      return made;
    };
    line.append(
      name,
      button(this.words.listen, (made) => this.listen(recording, made)),
      button(this.words.sendWords, () => this.handIn(recording)),
      button(this.words.discard, (made) => this.discard(recording, made)),
    );
    return line;
  }

  async listen(recording, button) {
    if (!this.heard.paused) {
      this.heard.pause();
      await this.showKept();
      return;
    }
    URL.revokeObjectURL(this.heard.src);
    this.heard.src = URL.createObjectURL(await this.store.sound(recording));
    button.textContent = this.words.stop;
    await this.heard.play();
  }

  // The second press discards: nothing played is lost by a slip of the finger.
  async discard(recording, button) {
    if (button.textContent === this.words.discard) {
      button.textContent = this.words.really;
      button.setAttribute("aria-label", this.words.really);
      return;
    }
    this.heard.pause();
    await this.store.discard(recording.id);
    await this.showKept();
  }

  async handIn(recording) {
    const file = fileOf(recording, await this.store.sound(recording));
    this.form.dispatchEvent(new CustomEvent("recorded", { detail: { file, id: recording.id } }));
  }
}

async function start(section, form) {
  if (!navigator.mediaDevices?.getUserMedia || !window.MediaRecorder) return;
  const store = await RecordStore.open().catch(() => null);
  section.hidden = false;
  if (!store) {
    section.querySelector("[data-record-status]").textContent = section.dataset.noStore;
    for (const button of section.querySelectorAll("button")) button.disabled = true;
    return;
  }
  await store.forgetOlderThan(Date.now() - section.dataset.keptDays * DAY_MS);
  await new Recorder(section, form, store).showKept();
}

const place = document.querySelector("[data-recorder]");
const upload = document.querySelector("[data-hand-in]");
if (place && upload) start(place, upload);
