// Going on to the next take without a wait: its page and its sound are fetched while this one is answered, and
// after the release it takes this one's place. Where something else comes back the browser goes there as by a link.

import { freshenToken } from "./review_draft.js";

const PATIENCE_MS = 30_000;
const parsed = (html) => new DOMParser().parseFromString(html, "text/html");

export class Onward {
  constructor(open) {
    this.open = open;
    this.ahead = null;
    this.sound = null; // { address, blob } of the take that is next
    this.playing = ""; // the address of a blob that sounds
    // An address of an earlier take is loaded as any other.
    addEventListener("popstate", () => location.reload());
    addEventListener("desk-measured", (event) => this.renew(event.detail));
  }

  async begin() {
    this.desk = new AbortController();
    await this.open(this.desk.signal);
    this.dialog = document.getElementById("release-dialog");
    this.dialog?.querySelector("form").addEventListener("submit", (event) => {
      event.preventDefault();
      this.release(event.target);
    });
    this.lookAhead(document.querySelector(".desk").dataset);
  }

  // Drawn and drafted on the server, fetched into the memory of this page, which keeps it no longer than itself.
  async lookAhead({ next, nextSound }) {
    if (!next || navigator.connection?.saveData) return;
    this.ahead = new AbortController();
    const asked = { signal: this.ahead.signal, priority: "low" };
    try {
      const sound = await fetch(nextSound, asked);
      if (sound.ok && !sound.redirected) this.sound = { address: nextSound, blob: await sound.blob() };
      await (await fetch(next, asked)).text();
    } catch {
      // What could not be fetched ahead is fetched when it is needed.
    }
  }

  async release(form) {
    freshenToken(form);
    const body = new FormData(form);
    this.ahead?.abort();
    this.waits();
    try {
      const signal = AbortSignal.timeout(PATIENCE_MS);
      const answer = await fetch(form.action, { method: "POST", body, credentials: "same-origin", signal });
      await this.arrive(answer, parsed(await answer.text()));
    } catch {
      this.asksAgain();
    }
  }

  // What is written while the answer is on its way would belong to a review that is out already.
  waits() {
    const state = document.getElementById("save-state");
    this.dialog.close();
    document.activeElement.blur();
    state.textContent = state.dataset.releasing;
    document.querySelector("main").inert = true;
    dispatchEvent(new Event("desk-waits"));
  }

  asksAgain() {
    document.querySelector("main").inert = false;
    document.getElementById("save-state").textContent = "";
    dispatchEvent(new Event("desk-ready"));
    this.dialog.querySelector("[role=alert]").hidden = false;
    this.dialog.showModal();
  }

  // The same take, measured again: its page takes this one's place, and the sound stays where it was.
  async renew({ answer, html }) {
    const at = document.getElementById("take-audio").currentTime;
    this.ahead?.abort();
    await this.arrive(answer, parsed(html));
    document.getElementById("take-audio").currentTime = at;
    document.querySelector("#correct > summary").focus();
  }

  async arrive(answer, page) {
    const main = page.querySelector("main.review");
    if (!main && answer.ok) return location.assign(answer.url);
    if (!main) throw new Error(`${answer.status}`);
    this.desk.abort();
    if (answer.redirected && answer.url !== location.href) history.pushState(null, "", answer.url);
    document.title = page.title;
    const sound = this.takeSound(main.querySelector("#take-audio"));
    document.querySelector("main").replaceWith(document.adoptNode(main));
    // Loads only where it is to be heard, not in a document that nobody sees.
    if (sound) main.querySelector("#take-audio").src = sound;
    scrollTo(0, 0);
    main.querySelector("h1").focus();
    await this.begin();
  }

  // The address of the fetched sound, where it is that of the take that came; it then is loaded from nowhere else.
  takeSound(audio) {
    URL.revokeObjectURL(this.playing);
    this.playing = "";
    if (this.sound?.address === audio.getAttribute("src")) {
      this.playing = URL.createObjectURL(this.sound.blob);
      audio.removeAttribute("src");
      audio.preload = "auto";
    }
    this.sound = null;
    return this.playing;
  }
}
