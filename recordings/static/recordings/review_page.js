// The review page: music, sound, ribbons and words tied together.

import { DeskTabs } from "./desk_tabs.js";
import { Player } from "./player.js";
import { Draft } from "./review_draft.js";
import { setUpRelease } from "./review_release.js";
import { Remarks } from "./review_remarks.js";
import { Score } from "./review_score.js";
import { MeasuredTake } from "./review_take.js";
import { fill, Ribbons } from "./ribbons.js";
import { setUpWalking } from "./ribbons_walk.js";

const OTHER_WIDTH = 0.12; // engrave anew when the page is this much wider or narrower than the drawing

const { words, ...data } = JSON.parse(document.getElementById("ribbon-data").textContent);
const take = new MeasuredTake(data);
const player = new Player(document.getElementById("player"), take.bars);
const score = new Score(document.getElementById("score"));
const ribbons = new Ribbons(score, take, words);
const byId = (id) => document.getElementById(id);
const asked = new Set(take.asked);
const noteWords = byId("note-words");
let pass = 1;

// While another part of the desk is shown the music has no size to draw in; it is drawn when it comes back.
const isSeen = () => score.root.clientWidth > 0;
const draw = () =>
  isSeen() && ribbons.draw({ pitch: byId("show-pitch").checked, pulse: byId("show-pulse").checked }, (id) => take.barFor(id, pass));

function setUpTools() {
  byId("score-tools").hidden = false;
  byId("legend").hidden = !take.bars.length;
  for (const id of ["show-pitch", "show-pulse"]) {
    byId(id).closest("fieldset").hidden = !take.bars.length;
    byId(id).addEventListener("change", draw);
  }
  const choice = byId("pass-select");
  byId("pass-choice").hidden = take.mostPasses < 2;
  for (let number = 1; number <= take.mostPasses; number += 1)
    choice.append(new Option(words.times[number - 1] ?? fill(words.time, { n: number }), number));
  choice.addEventListener("change", () => {
    if (choice.value !== "follow") pass = Number(choice.value);
    draw();
  });
}

function barBegins(bar) {
  byId("now-bar").textContent = bar ? barWords(bar) : "";
  if (bar && byId("pass-select").value === "follow" && bar.pass !== pass && take.isRepeated(bar.measure)) {
    pass = bar.pass;
    draw();
  }
  score.mark(bar?.measure, player.playing && byId("follow-score").checked);
}

function barWords(bar) {
  const time = words.times[bar.pass - 1] ?? fill(words.time, { n: bar.pass });
  return fill(take.isRepeated(bar.measure) ? words.bar_and_time : words.bar, { bar: bar.bar, time });
}

// A click on a note, a tick or a bar plays from there, in the pass that is drawn.
function clicked(event) {
  const mark = event.target.closest(".labelled");
  const printed = event.target.closest("g.note");
  const measure = event.target.closest("g.measure");
  if (mark) noteWords.textContent = mark.getAttribute("aria-label");
  const played = mark
    ? take.bars.find((bar) => bar.position === Number(mark.dataset.position))
    : measure && take.barFor(measure.id, pass);
  if (!played) {
    if (measure) noteWords.textContent = silentBarWords(measure.id);
    return;
  }
  const noteId = mark?.dataset.note ?? printed?.id;
  const note = noteId && take.notesAt(played.position).find((candidate) => candidate.id === noteId);
  player.playFrom(note?.onset_s ?? played.start_s);
}

// What to say of a printed bar that cannot be played: not asked for, or asked for and not heard.
function silentBarWords(measureId) {
  const bar = take.printed[measureId];
  return fill(asked.has(measureId) ? words.bar_not_heard : words.not_asked, { bar });
}

function keyed(event) {
  const busy = event.target.closest("input, textarea, select, button, summary, a, dialog, .ribbon");
  if (busy || event.ctrlKey || event.altKey || event.metaKey) return;
  if (event.key === " ") player.toggle();
  else if (event.key === "ArrowLeft") player.step(-1);
  else if (event.key === "ArrowRight") player.step(1);
  else return;
  event.preventDefault();
}

function heard(event) {
  const button = event.target.closest("[data-hear]");
  if (!button) return;
  player.playSpans(JSON.parse(button.dataset.hear));
}

async function fitWidth() {
  if (!isSeen()) return;
  const width = score.root.clientWidth;
  const drawn = Number(score.root.dataset.width);
  if (Math.abs(width - drawn) > drawn * OTHER_WIDTH) await score.engraveFor(width);
  else score.rescale();
  score.standBack(asked, silentBarWords);
  draw();
  score.mark(player.bar?.measure, false);
}

function setUpForm() {
  const form = byId("review-form");
  if (!form) return;
  const remarks = new Remarks(form, take);
  const draft = new Draft(form, remarks);
  byId("add-remark").hidden = false;
  const keepAll = byId("keep-all");
  if (keepAll) {
    keepAll.hidden = false;
    keepAll.addEventListener("click", () => {
      remarks.keepAll();
      keepAll.hidden = true;
    });
  }
  byId("add-remark").addEventListener("click", () => remarks.addAt(player.bar ?? take.bars[0], player.audio.currentTime));
  setUpRelease(form, draft);
}

document.documentElement.classList.add("with-script");
setUpTools();
setUpForm();
const tabs = new DeskTabs(document.querySelector(".desk"));
tabs.addEventListener("shown", () => fitWidth());
player.addEventListener("bar", (event) => barBegins(event.detail));
score.root.addEventListener("click", clicked);
setUpWalking(score.root, noteWords);
document.addEventListener("click", heard);
document.addEventListener("keydown", keyed);
for (const button of document.querySelectorAll(".bar-by-bar [data-hear], .broken-off [data-hear], .given [data-hear]")) button.hidden = false;
await fitWidth();
score.showFirst(asked);
player.refresh();
let waiting;
addEventListener("resize", () => {
  clearTimeout(waiting);
  waiting = setTimeout(fitWidth, 250);
});
byId("score").dataset.ready = "yes";
