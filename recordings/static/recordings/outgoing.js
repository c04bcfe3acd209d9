// The recordings on their way, one after the other: sent, broken off, gone on with, arrived.
import { OutgoingLines } from "./outgoing_lines.js";
import { OutgoingStore } from "./outgoing_store.js";
import { Lost, Refused, SignedOut, forget, send, sendLess } from "./tus.js";

const LOCK = "fairhearing-outgoing"; // one window sends, the others wait
const DAY_MS = 86_400_000;
const LONGEST_PAUSE_MS = 60_000;

export class Outgoing extends EventTarget {
  static async open(section) {
    const store = await OutgoingStore.open().catch(() => null);
    const outgoing = new Outgoing(section, store);
    await store?.forgetOlderThan(Date.now() - section.dataset.days * DAY_MS);
    await outgoing.load();
    return outgoing;
  }

  constructor(section, store) {
    super();
    Object.assign(this, { section, store, words: section.dataset, items: [], pauses: 0, working: false });
    this.lines = new OutgoingLines(section, this);
    for (const kind of ["online", "pageshow"]) window.addEventListener(kind, () => this.tryNow());
    window.addEventListener("offline", () => this.sending?.abort());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") this.tryNow();
    });
  }

  async load() {
    const stored = (await this.store?.all().catch(() => [])) ?? [];
    const kept = stored.filter((item) => item.owner === this.words.owner).sort((a, b) => a.added - b.added);
    const known = new Map(this.items.map((item) => [item.id, item]));
    const loose = this.items.filter((item) => item.isLoose || item.page);
    const others = kept.filter((row) => !loose.some((item) => item.id === row.id));
    this.items = [...loose, ...others.map((row) => Object.assign(known.get(row.id) ?? { state: "waiting", sent: 0 }, row))];
    this.lines.show();
  }

  async add(facts) {
    const same = facts.recording && this.items.find((item) => item.recording === facts.recording && !item.page);
    if (same) return;
    const item = { id: this.newId(), owner: this.words.owner, added: Date.now(), isNew: true, state: "waiting", sent: 0, ...facts };
    this.items.push(item);
    await this.keep(item);
    this.lines.show();
    this.work();
  }

  newId() {
    return [...crypto.getRandomValues(new Uint8Array(8))].join("-");
  }

  // Where the device keeps nothing it goes on as long as this page is open.
  async keep(item) {
    const { id, owner, added, name, file, beginAt, title, recording, sha256, location } = item;
    const row = { id, owner, added, name, file, beginAt, title, recording, sha256, location };
    item.isLoose = !(await this.store?.put(row).then(() => true, () => false));
  }

  async drop(item) {
    this.items = this.items.filter((other) => other !== item);
    await this.store?.discard(item.id).catch(() => null);
    this.lines.show();
  }

  async discard(item) {
    this.discarded = item;
    if (this.current === item) this.sending?.abort();
    if (item.location) await forget(item.location).catch(() => null);
    await this.drop(item);
  }

  tryNow(item = null) {
    // Meanwhile somebody may have signed in in another window.
    for (const one of this.items) if (one === item || one.state === "signedOut") one.state = "waiting";
    this.pauses = 0;
    this.wake?.();
    this.work();
  }

  work() {
    if (this.working || !this.next()) return;
    this.working = true;
    const locked = navigator.locks ? navigator.locks.request(LOCK, () => this.run()) : this.run();
    setTimeout(() => { if (!this.running && this.working) this.lines.elsewhere(); }, 500);
    locked.finally(() => { this.working = this.running = false; });
  }

  next() {
    return this.items.find((item) => !["arrived", "refused", "signedOut"].includes(item.state));
  }

  async run() {
    this.running = true;
    await this.load(); // another window may have sent some of them
    for (let item = this.next(); item; item = this.next()) {
      this.current = item;
      await this.sendOne(item);
    }
    this.current = null;
  }

  async sendOne(item) {
    this.sending = new AbortController();
    const tell = (state, sent) => this.tell(item, state, sent);
    const keep = async (facts) => { Object.assign(item, facts); await this.keep(item); };
    try {
      const page = await send(item, { keep, tell, signal: this.sending.signal });
      this.pauses = 0;
      await this.arrived(item, page);
    } catch (trouble) {
      if (this.discarded === item) return;
      if (trouble instanceof Refused) await this.refused(item, trouble);
      else if (trouble instanceof SignedOut) this.tell(item, "signedOut", item.sent);
      else if (trouble instanceof Lost) await this.pause(item);
      else {
        // The file cannot be read any more: moved, or its memory card taken out.
        item.sentence = this.words.unread;
        this.tell(item, "refused", item.sent);
      }
    }
  }

  async refused(item, trouble) {
    item.sentence = trouble.message;
    if (trouble.isFinal) {
      // Said once, and not sent again with the next page.
      if (item.location) await forget(item.location).catch(() => null);
      await this.store?.discard(item.id).catch(() => null);
      Object.assign(item, { location: null, isLoose: true });
    }
    this.tell(item, "refused", item.kept ?? 0);
    if (trouble.isFinal) this.dispatchEvent(new CustomEvent("will-not-do", { detail: item }));
  }

  async pause(item) {
    if (item.pieceBytes) sendLess(item);
    this.tell(item, "brokenOff", item.kept ?? 0);
    const milliseconds = Math.min(1000 * 2 ** this.pauses, LONGEST_PAUSE_MS);
    this.pauses += 1;
    await new Promise((resolve) => {
      this.wake = resolve;
      setTimeout(resolve, milliseconds);
    });
  }

  tell(item, state, sent) {
    Object.assign(item, { state, sent });
    this.lines.show();
  }

  async arrived(item, page) {
    item.page = page;
    await this.store?.discard(item.id).catch(() => null);
    this.tell(item, "arrived", item.file.size);
    const waited = [];
    const detail = { item, isLast: !this.next(), wait: (work) => waited.push(work) };
    this.dispatchEvent(new CustomEvent("arrived", { detail }));
    await Promise.allSettled(waited);
  }
}
