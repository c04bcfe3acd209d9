// One take on the desk: music, sound, ribbons, words and keys tied together. What listens beyond the desk
// itself ends with `signal`, so that another take may take its place.

import { Correction } from "./desk_correct.js";
import { Findings } from "./desk_findings.js";
import { FormerTake } from "./desk_former.js";
import { DeskKeys } from "./desk_keys.js";
import { MarkFields } from "./desk_marks.js";
import { Phrases } from "./desk_phrases.js";
import { MusicDesk } from "./desk_music.js";
import { DeskTabs } from "./desk_tabs.js";
import { Draft } from "./review_draft.js";
import { setUpRelease } from "./review_release.js";
import { Remarks } from "./review_remarks.js";

const byId = (id) => document.getElementById(id);

export async function openDesk(signal) {
  const music = new MusicDesk(signal);
  const desk = document.querySelector(".desk");
  const tabs = new DeskTabs(desk, signal);
  tabs.addEventListener("shown", () => music.fitWidth());
  const former = byId("former") && new FormerTake(byId("former"), music.player);
  const form = byId("review-form");
  const answering = form && setUpAnswer(form, music, tabs, signal);
  desk.addEventListener("click", (event) => {
    const button = event.target.closest("[data-hear]");
    if (button) music.player.playSpans(JSON.parse(button.dataset.hear));
  });
  await music.lay();
  new DeskKeys({ ...soundKeys(music.player, former), ...answering }, byId("desk-keys")).listen(signal);
  byId("score").dataset.ready = "yes";
  dispatchEvent(new Event("desk-ready"));
}

function setUpAnswer(form, music, tabs, signal) {
  const remarks = new Remarks(form, music.take);
  const draft = new Draft(form, remarks, signal);
  const findings = new Findings(remarks, tabs, byId("desk-says"));
  const phrases = new Phrases(remarks, findings);
  const marks = new MarkFields(form, tabs);
  const add = () => {
    music.player.backToOwn();
    tabs.reveal(remarks.list);
    remarks.addAt(music.player.bar ?? music.take.bars[0], music.player.audio.currentTime);
  };
  byId("add-remark").hidden = false;
  byId("add-remark").addEventListener("click", add);
  setUpKeepAll(remarks);
  setUpRelease(form, draft);
  const correction = new Correction(byId("correct"), music, draft, tabs);
  return answerKeys({ findings, phrases, marks, add, tabs, correction, words: byId("words"), release: byId("release") });
}

function setUpKeepAll(remarks) {
  const keepAll = byId("keep-all");
  if (!keepAll) return;
  keepAll.hidden = false;
  keepAll.addEventListener("click", () => {
    remarks.keepAll();
    keepAll.hidden = true;
  });
}

function soundKeys(player, former) {
  return {
    play: () => player.toggle(),
    back: () => player.back(),
    barBefore: () => player.step(-1),
    barAfter: () => player.step(1),
    former: () => former?.change(),
    sheet: () => byId("desk-keys").showModal(),
    digit: () => false,
  };
}

function answerKeys({ findings, phrases, marks, add, tabs, correction, words, release }) {
  return {
    next: () => findings.go(1),
    before: () => findings.go(-1),
    hear: () => findings.hear(),
    keep: () => findings.judge("kept"),
    leaveOut: () => findings.judge("dropped"),
    open: () => findings.open(),
    phrases: () => phrases.open(),
    add,
    correct: () => correction.open(),
    marks: () => marks.go(),
    digit: (figure) => marks.begin(figure),
    words: () => {
      tabs.reveal(words);
      words.focus();
    },
    release: () => {
      tabs.reveal(release);
      release.click();
    },
  };
}
