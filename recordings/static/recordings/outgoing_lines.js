// What is on its way, as lines with their state in words, and one sentence for who does not see them.
import { forget } from "./tus.js";
import { Pace, inWords } from "./time_left.js";

const DONE = new Set(["arrived", "refused", "signedOut"]);
const megabytes = (bytes) => (bytes / 1e6).toLocaleString([], { maximumFractionDigits: 1, minimumFractionDigits: 1 });

export class OutgoingLines {
  constructor(section, outgoing) {
    Object.assign(this, { section, outgoing, words: section.dataset, made: new Map(), pace: new Pace(), said: "" });
    this.list = section.querySelector("[data-lines]");
    this.total = section.querySelector("[data-total]");
    this.status = section.querySelector("[data-outgoing-status]");
    this.unfinished = section.querySelectorAll("[data-upload]");
    for (const line of this.unfinished) {
      const button = line.querySelector("button");
      button.addEventListener("click", () => this.discardUnfinished(line, button));
    }
  }

  async discardUnfinished(line, button) {
    if (this.asks(button)) return;
    await forget(line.dataset.address).catch(() => null);
    line.remove();
    this.show();
  }

  // The second press discards.
  asks(button) {
    if (button.textContent === this.words.really) return false;
    button.textContent = this.words.really;
    button.setAttribute("aria-label", this.words.really);
    return true;
  }

  show() {
    const { items, current } = this.outgoing;
    if (current) this.pace.note(current.sent);
    for (const [id, line] of this.made) if (!items.some((item) => item.id === id)) { line.root.remove(); this.made.delete(id); }
    for (const item of items) this.refresh(this.made.get(item.id) ?? this.make(item), item);
    const here = items.map((item) => item.location).filter(Boolean);
    let left = 0;
    for (const line of this.unfinished) {
      line.hidden = here.some((location) => location.endsWith(line.dataset.address));
      if (line.isConnected && !line.hidden) left += 1;
    }
    this.section.hidden = !items.length && !left;
    this.section.querySelector("[data-rules]").hidden = !left && items.every((item) => item.page);
    this.speak(items);
  }

  speak(items) {
    const going = items.filter((item) => !DONE.has(item.state));
    const first = going[0] ?? items.at(-1);
    const bytes = going.reduce((sum, item) => sum + item.file.size - item.sent, 0);
    const left = first?.state === "brokenOff" ? "" : inWords(this.pace.secondsFor(bytes), this.words);
    const all = going.length > 1 ? [this.words.several.replace("{n}", going.length), left].filter(Boolean).join(", ") : "";
    this.total.textContent = all;
    this.total.hidden = !all;
    const percent = first ? Math.floor((10 * first.sent) / first.file.size) : 0;
    const key = `${going.length} ${first?.id} ${first?.state} ${percent}`;
    const text = [all, first && this.wordsOf(first)].filter(Boolean).join(". ");
    if (key !== this.said) this.status.textContent = text;
    this.said = key;
  }

  make(item) {
    const root = document.createElement("li");
    const name = document.createElement("b");
    const bar = document.createElement("progress");
    const text = document.createElement("p");
    const act = document.createElement("span");
    name.textContent = item.title ? `${item.name} · ${item.title}` : item.name;
    bar.setAttribute("aria-label", `${this.words.sendingWords}: ${item.name}`);
    text.className = "small";
    act.className = "row";
    root.append(name, bar, text, act);
    this.list.append(root);
    const line = { root, bar, text, act, state: "" };
    this.made.set(item.id, line);
    return line;
  }

  refresh(line, item) {
    line.bar.max = item.file.size;
    line.bar.value = item.sent;
    line.bar.hidden = item.state === "arrived";
    line.text.textContent = this.wordsOf(item);
    if (line.state === item.state) return;
    line.state = item.state;
    line.root.dataset.state = item.state;
    const hadFocus = line.act.contains(document.activeElement);
    line.act.replaceChildren(...this.actsOf(item));
    if (hadFocus) line.act.firstElementChild.focus();
  }

  actsOf(item) {
    if (item.page) {
      const link = document.createElement("a");
      link.href = item.page;
      link.textContent = this.words.open;
      return [link];
    }
    const acts = [];
    if (["brokenOff", "refused", "signedOut"].includes(item.state))
      acts.push(this.button(item, this.words.again, () => this.outgoing.tryNow(item)));
    acts.push(this.button(item, this.words.discard, (button) => { if (!this.asks(button)) this.outgoing.discard(item); }));
    return acts;
  }

  button(item, text, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "second";
    made.textContent = text;
    made.setAttribute("aria-label", `${text}: ${item.name}`);
    made.addEventListener("click", () => act(made));
    return made;
  }

  wordsOf(item) {
    const of = this.words.of.replace("{sent}", megabytes(item.sent)).replace("{size}", megabytes(item.file.size));
    const left = item === this.outgoing.current ? inWords(this.pace.secondsFor(item.file.size - item.sent), this.words) : "";
    const kept = item.isLoose ? this.words.loose : this.words.closing;
    const texts = {
      waiting: this.words.waiting,
      looking: this.words.looking,
      sending: [of, left].filter(Boolean).join(", ") + `. ${kept}`,
      checking: this.words.checking,
      brokenOff: `${of}. ${item.isLoose ? this.words.brokenOffLoose : this.words.brokenOff}`,
      signedOut: this.words.signedOut,
      refused: item.sentence,
      arrived: this.words.arrived,
    };
    return texts[item.state];
  }

  elsewhere() {
    for (const item of this.outgoing.items)
      if (item.state === "waiting") this.made.get(item.id).text.textContent = this.words.elsewhere;
  }
}
