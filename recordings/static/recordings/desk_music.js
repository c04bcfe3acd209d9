// The engraved music on the desk with its ribbons, tied to the sound: a click plays, the bar that sounds is marked.

import { Player } from "./player.js";
import { Score } from "./review_score.js";
import { MeasuredTake } from "./review_take.js";
import { fill, Ribbons } from "./ribbons.js";
import { setUpWalking } from "./ribbons_walk.js";

const OTHER_WIDTH = 0.12; // engrave anew when the page is this much wider or narrower than the drawing
const SETTLED_MS = 250;
const byId = (id) => document.getElementById(id);

export class MusicDesk {
  constructor(signal) {
    const { words, ...data } = JSON.parse(byId("ribbon-data").textContent);
    this.words = words;
    this.take = new MeasuredTake(data);
    this.asked = new Set(this.take.asked);
    this.player = new Player(byId("player"), this.take.bars);
    this.score = new Score(byId("score"));
    this.ribbons = new Ribbons(this.score, this.take, words);
    this.noteWords = byId("note-words");
    this.pass = 1;
    this.setUpTools();
    this.player.addEventListener("bar", (event) => this.barBegins(event.detail));
    this.score.root.addEventListener("click", (event) => this.clicked(event));
    setUpWalking(this.score.root, this.noteWords);
    let waiting;
    const settle = () => {
      clearTimeout(waiting);
      waiting = setTimeout(() => this.fitWidth(), SETTLED_MS);
    };
    addEventListener("resize", settle, { signal });
    signal.addEventListener("abort", () => this.player.audio.pause());
  }

  async lay() {
    for (const button of document.querySelectorAll(".bar-by-bar [data-hear], .broken-off [data-hear], .given [data-hear]"))
      button.hidden = false;
    await this.fitWidth();
    this.score.showFirst(this.asked);
    this.player.refresh();
  }

  // While another part of the desk is shown the music has no size to draw in; it is drawn when it comes back.
  get isSeen() {
    return this.score.root.clientWidth > 0;
  }

  draw() {
    if (!this.isSeen) return;
    const shown = { pitch: byId("show-pitch").checked, pulse: byId("show-pulse").checked };
    this.ribbons.draw(shown, (id) => this.take.barFor(id, this.pass));
  }

  async fitWidth() {
    if (!this.isSeen) return;
    const width = this.score.root.clientWidth;
    const drawn = Number(this.score.root.dataset.width);
    if (Math.abs(width - drawn) > drawn * OTHER_WIDTH) await this.score.engraveFor(width);
    else this.score.rescale();
    this.score.standBack(this.asked, (id) => this.silentBarWords(id));
    this.draw();
    this.score.mark(this.player.bar?.measure, false);
  }

  setUpTools() {
    const { take, words } = this;
    byId("score-tools").hidden = false;
    byId("legend").hidden = !take.bars.length;
    for (const id of ["show-pitch", "show-pulse"]) {
      byId(id).closest("fieldset").hidden = !take.bars.length;
      byId(id).addEventListener("change", () => this.draw());
    }
    const choice = byId("pass-select");
    byId("pass-choice").hidden = take.mostPasses < 2;
    for (let number = 1; number <= take.mostPasses; number += 1)
      choice.append(new Option(words.times[number - 1] ?? fill(words.time, { n: number }), number));
    choice.addEventListener("change", () => {
      if (choice.value !== "follow") this.pass = Number(choice.value);
      this.draw();
    });
  }

  barBegins(bar) {
    byId("now-bar").textContent = bar ? this.barWords(bar) : "";
    if (bar && byId("pass-select").value === "follow" && bar.pass !== this.pass && this.take.isRepeated(bar.measure)) {
      this.pass = bar.pass;
      this.draw();
    }
    this.score.mark(bar?.measure, this.player.playing && byId("follow-score").checked);
  }

  barWords(bar) {
    const { words, take } = this;
    const time = words.times[bar.pass - 1] ?? fill(words.time, { n: bar.pass });
    return fill(take.isRepeated(bar.measure) ? words.bar_and_time : words.bar, { bar: bar.bar, time });
  }

  // A click on a note, a tick or a bar plays from there, in the pass that is drawn.
  clicked(event) {
    const { take, noteWords } = this;
    const mark = event.target.closest(".labelled");
    const printed = event.target.closest("g.note");
    const measure = event.target.closest("g.measure");
    if (mark) noteWords.textContent = mark.getAttribute("aria-label");
    const played = mark
      ? take.bars.find((bar) => bar.position === Number(mark.dataset.position))
      : measure && take.barFor(measure.id, this.pass);
    if (!played) {
      if (measure) noteWords.textContent = this.silentBarWords(measure.id);
      return;
    }
    const noteId = mark?.dataset.note ?? printed?.id;
    const note = noteId && take.notesAt(played.position).find((candidate) => candidate.id === noteId);
    this.player.playFrom(note?.onset_s ?? played.start_s);
  }

  // What to say of a printed bar that cannot be played: not asked for, or asked for and not heard.
  silentBarWords(measureId) {
    const bar = this.take.printed[measureId];
    return fill(this.asked.has(measureId) ? this.words.bar_not_heard : this.words.not_asked, { bar });
  }
}
