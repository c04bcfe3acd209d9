// Reading at sight: thirty seconds to look, then one take. It lies on this device until it has arrived.
import { keepFitting } from "../repertoire/score.js";
import { csrfToken } from "../studio/csrf.js";
import { CountIn, wait } from "./record_begin.js";
import { fileOf, microphone, recordInto } from "./record_media.js";
import { RecordStore } from "./record_store.js";

const DAY_MS = 86_400_000;

class Sight {
  constructor(place, store) {
    Object.assign(this, { place, store, words: place.dataset });
    this.status = place.querySelector("[data-sight-status]");
    this.go = place.querySelector("[data-sight-go]");
    this.begin = place.querySelector("[data-sight-begin]");
    this.exercise = document.querySelector("[data-exercise]");
    this.go.addEventListener("click", () => this.pressed());
    this.begin?.addEventListener("submit", (event) => { event.preventDefault(); this.look(); });
    window.addEventListener("online", () => this.sendKept());
  }

  say(text) {
    this.status.textContent = text;
  }

  async stream() {
    this.heard ??= await microphone();
    return this.heard;
  }

  // The microphone is asked for before the music is shown, so that no question falls into the thirty seconds.
  async look() {
    const button = this.begin.querySelector("button");
    button.disabled = true;
    try {
      await this.stream();
      const answer = await fetch(this.begin.action, { method: "POST", headers: { "X-CSRFToken": csrfToken() } });
      if (!answer.ok) throw new Error(answer.statusText);
      const shown = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("[data-exercise]");
      this.exercise.replaceChildren(...document.importNode(shown, true).childNodes);
      keepFitting(this.exercise.querySelector("[data-score]"));
    } catch {
      button.disabled = false;
      this.say(this.words.noMicrophone);
      return;
    }
    this.begin.hidden = true;
    this.place.dataset.begun = "";
    this.exercise.scrollIntoView({ block: "start" });
    await this.countDown();
  }

  async countDown() {
    this.waiting = new AbortController();
    const { signal } = this.waiting;
    this.go.hidden = false;
    this.go.textContent = this.words.now;
    for (let left = Number(this.words.lookS); left > 0 && !signal.aborted; left -= 1) {
      this.say(this.words.left.replace("{left}", left));
      await wait(1000, signal);
    }
    this.waiting = null;
    await this.record();
  }

  async pressed() {
    if (this.media) this.media.stop();
    else if (this.waiting) this.waiting.abort();
    else await this.record();
  }

  async record() {
    this.go.disabled = true;
    Object.assign(this.place.dataset, { begun: "", playing: "" });
    this.exercise.scrollIntoView({ block: "start" });
    try {
      const stream = await this.stream();
      this.say(this.words.countingIn);
      await new CountIn(this.words).run(new AbortController().signal);
      const facts = { id: crypto.randomUUID(), owner: this.words.owner, began: Date.now() };
      this.media = recordInto(this.store, stream, facts, (written) => this.stopped(written));
    } catch {
      this.say(this.words.noMicrophone);
      this.go.disabled = false;
      return;
    }
    this.say(this.words.recording);
    this.go.textContent = this.words.finished;
    this.go.disabled = false;
    this.go.hidden = false;
  }

  async stopped(written) {
    this.media = null;
    this.go.hidden = true;
    for (const track of this.heard.getTracks()) track.stop();
    this.heard = null;
    await written;
    await this.sendKept();
  }

  // One goes out; the server keeps the first that arrives, and the same file sent twice is one take.
  async sendKept() {
    const kept = (await this.store.of(this.words.owner)).at(-1);
    if (!kept || this.sending || this.media) return;
    this.sending = true;
    this.go.hidden = true;
    if (this.begin) this.begin.hidden = true;
    this.say(this.words.sending);
    try {
      await this.send(kept);
    } finally {
      this.sending = false;
    }
  }

  async send(kept) {
    const body = new FormData();
    body.append("sound", fileOf(kept, await this.store.sound(kept)));
    const headers = { Accept: "application/json", "X-CSRFToken": csrfToken() };
    const answer = await fetch(this.words.takeAt, { method: "POST", body, headers }).catch(() => null);
    const told = answer?.headers.get("Content-Type")?.startsWith("application/json") ? await answer.json() : {};
    if (answer?.ok) {
      for (const one of await this.store.of(this.words.owner)) await this.store.discard(one.id);
      window.location.reload();
      return;
    }
    this.say(told.error ?? this.words.later);
    this.go.hidden = answer?.status !== 422;
    this.go.textContent = this.words.play;
  }
}

const place = document.querySelector("[data-sight]");
if (place && navigator.mediaDevices?.getUserMedia && window.MediaRecorder) {
  const store = await RecordStore.open().catch(() => null);
  if (store) {
    const sight = new Sight(place, store);
    await store.forgetOlderThan(Date.now() - sight.words.keptDays * DAY_MS);
    place.hidden = false;
    if (sight.words.looked) {
      sight.go.hidden = false;
      sight.go.textContent = sight.words.play;
    }
    await sight.sendKept();
  }
}
