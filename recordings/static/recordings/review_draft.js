// The draft on its way to the studio: saved soon after typing, kept in this browser until the studio has
// confirmed it, and never overwritten silently by, or over, another window.
import { csrfToken } from "../studio/csrf.js";

const WAIT_MS = 900;
const AGAIN_MS = 2500;

function randomName() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

export class Draft {
  constructor(form, remarks, signal) {
    this.form = form;
    this.signal = signal;
    this.remarks = remarks;
    this.state = document.getElementById("save-state");
    this.say = this.state.dataset;
    this.place = form.dataset.draft; // by person and take: a shared computer mixes nobody's words
    this.window = randomName();
    this.edition = Number(form.elements.edition.value);
    this.typed = 0; // counts changes, so that words typed during a save are saved after it
    this.stored = 0;
    this.held = false; // another window's text waits for the person's choice
    this.running = null;
    this.known = this.content();
    this.listen();
    this.bringBack();
  }

  listen() {
    for (const kind of ["input", "change"]) this.form.addEventListener(kind, () => this.changed());
    this.form.addEventListener("submit", (event) => {
      if (["release", "ask-again"].includes(event.submitter?.id)) return;
      event.preventDefault();
      this.typed += 1;
      this.save();
    });
    const { signal } = this;
    signal.addEventListener("abort", () => this.end());
    addEventListener("online", () => this.saveIfNeeded(), { signal });
    addEventListener("focus", () => this.saveIfNeeded(), { signal });
    document.addEventListener("visibilitychange", () => this.saveIfNeeded(), { signal });
  }

  // The next take stands on the page by now: nothing of this one may be told or asked there.
  end() {
    clearTimeout(this.timer);
    this.held = true;
  }

  get isStored() {
    return this.stored === this.typed && !this.held;
  }

  changed() {
    const text = this.content();
    // Leaving a field says "change" once more for what its "input" has told already.
    if (text === this.known) return;
    this.known = text;
    this.typed += 1;
    this.keep();
    if (this.held) return;
    this.saveSoon();
  }

  saveSoon() {
    if (!this.signInLink) this.tell(this.say.typing);
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.save(), WAIT_MS);
  }

  collect() {
    const marks = {};
    for (const input of this.form.querySelectorAll("input[data-caption]"))
      if (!input.validity.badInput) marks[input.dataset.caption] = input.value;
    return {
      edition: this.edition,
      window: this.window,
      words: this.form.elements.words.value,
      marks,
      remarks: this.remarks.collect(),
    };
  }

  content() {
    const { words, marks, remarks } = this.collect();
    return JSON.stringify([words, marks, remarks.map(({ id, ...rest }) => rest)]);
  }

  get signInLink() {
    return this.state.querySelector("a");
  }

  keep() {
    try {
      localStorage.setItem(this.place, JSON.stringify(this.collect()));
    } catch {
      // A full or forbidden store: the words stay on the page, and saving goes on.
    }
  }

  bringBack() {
    let kept = null;
    try {
      kept = JSON.parse(localStorage.getItem(this.place));
    } catch {
      return;
    }
    if (!kept) return;
    const before = this.content();
    this.fill(kept);
    if (this.content() === before) {
      localStorage.removeItem(this.place);
      return;
    }
    // The kept edition and window go along: the studio then sees whether another window came between.
    this.edition = kept.edition;
    this.window = kept.window;
    this.typed += 1;
    this.known = this.content();
    this.tell(this.say.broughtBack);
    this.timer = setTimeout(() => this.save(), WAIT_MS);
  }

  fill(kept) {
    this.form.elements.words.value = kept.words;
    for (const [caption, value] of Object.entries(kept.marks)) {
      const input = this.form.querySelector(`input[data-caption="${CSS.escape(caption)}"]`);
      if (input) input.value = value;
    }
    this.remarks.fill(kept.remarks);
  }

  saveIfNeeded() {
    if (!this.isStored && !this.held) this.save();
  }

  // True when all that is typed has reached the studio.
  async save() {
    if (this.held) return false;
    clearTimeout(this.timer);
    while (this.running) await this.running;
    if (this.isStored) return true;
    this.running = this.send();
    await this.running;
    this.running = null;
    return this.isStored;
  }

  // The same before a step that takes the text with it; where it has not arrived the page says so.
  async saveBefore() {
    await this.save();
    if (!this.isStored && !this.held) this.state.append(` ${this.say.unsaved}`);
    return this.isStored;
  }

  async send() {
    const typed = this.typed;
    const sent = this.collect();
    const rows = this.remarks.rows();
    if (!this.signInLink) this.tell(this.say.saving);
    let answer;
    try {
      answer = await fetch(this.form.action, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-CSRFToken": csrfToken() },
        body: JSON.stringify(sent),
        redirect: "manual",
      });
      if (answer.ok) this.took(await answer.json(), rows, typed);
      else if (answer.status === 409) this.ask(await answer.json());
      else if (answer.status === 404) this.gone();
      else if (answer.type === "opaqueredirect" || [401, 403].includes(answer.status)) this.signedOut();
      else this.tryLater(this.say.offline);
    } catch {
      this.tryLater(this.say.offline);
    }
  }

  took(answer, rows, typed) {
    this.setEdition(answer.edition);
    rows.forEach((row, index) => this.remarks.setId(row, answer.remarks[index]));
    const wrong = this.showErrors(answer.errors);
    this.stored = typed;
    if (wrong) this.tell(this.say.wrong);
    else this.tell(`${this.say.saved} ${answer.saved_at}`);
    if (this.typed !== typed) this.saveSoon();
    else if (!wrong) localStorage.removeItem(this.place);
  }

  setEdition(edition) {
    this.edition = edition;
    for (const input of document.querySelectorAll("input[name=edition]")) input.value = edition;
  }

  showErrors(errors) {
    let wrong = false;
    for (const input of this.form.querySelectorAll("input[data-caption]")) {
      const text = input.validity.badInput ? this.say.number : (errors[input.name] ?? "");
      this.showError(input, text);
      wrong ||= Boolean(text);
    }
    return wrong;
  }

  showError(input, text) {
    const place = document.getElementById(`${input.name}-error`);
    place.textContent = text;
    place.hidden = !text;
    input.toggleAttribute("aria-invalid", Boolean(text));
    if (text) input.setAttribute("aria-invalid", "true");
  }

  tryLater(words) {
    if (words) this.tell(words);
    this.keep();
    this.timer = setTimeout(() => this.saveIfNeeded(), AGAIN_MS);
  }

  // Handed to somebody else, or removed, since the page was opened: nothing more can be saved from here.
  gone() {
    this.held = true;
    this.keep();
    this.tell(this.say.gone);
  }

  signedOut() {
    // The link stays the same element: replacing it under a pressed mouse button would swallow the click.
    if (this.signInLink) return this.tryLater();
    this.tryLater(this.say.signedOut);
    const link = document.createElement("a");
    Object.assign(link, { href: this.form.dataset.signIn, target: "_blank", textContent: this.say.signInLink });
    this.state.append(" ", link, this.say.then);
  }

  ask(answer) {
    this.held = true;
    this.keep();
    this.tell(this.say.elsewhere);
    const panel = document.getElementById("conflict");
    panel.innerHTML = answer.html;
    panel.hidden = false;
    panel.querySelector(".conflict-choice").hidden = false;
    panel.querySelector("#keep-mine")?.addEventListener("click", () => this.keepMine(answer.edition, panel));
    panel.querySelector("#take-newer").addEventListener("click", () => {
      localStorage.removeItem(this.place);
      location.assign(location.pathname);
    });
    panel.focus();
  }

  keepMine(edition, panel) {
    this.held = false;
    this.setEdition(edition);
    panel.hidden = true;
    this.typed += 1;
    this.save();
  }

  tell(words) {
    this.state.textContent = words;
  }
}

// Forms of this page opened before a new sign-in carry an old token.
export function freshenToken(form) {
  form.elements.csrfmiddlewaretoken.value = csrfToken();
}
