// Sounds the music at the times the server worked out, circles the sounding note, and clicks the beats.
import { Synth } from "./synth.js";

const AHEAD_S = 0.4;
const LOOK_EVERY_MS = 100;
const LEAD_S = 0.15;

const panel = document.querySelector("[data-play-along]");
const frame = document.querySelector("[data-score]");
const find = (name) => panel.querySelector(`[data-${name}]`);
let playing = null;

function address() {
  const asked = new URLSearchParams({ bpm: find("bpm").value, from: find("from").value, to: find("to").value });
  const whole = find("from").selectedIndex === 0 && find("to").selectedIndex === find("to").options.length - 1;
  if (whole) { asked.delete("from"); asked.delete("to"); }
  const joint = panel.dataset.times.includes("?") ? "&" : "?";
  return `${panel.dataset.times}${joint}${asked}`;
}

async function load() {
  const answer = await fetch(address(), { credentials: "same-origin" });
  const content = await answer.json();
  if (!answer.ok) throw new Error(content.error);
  return content;
}

const soundOn = (kind) => panel.querySelector(`[data-sound="${kind}"]`).checked;

// `position` is the played bar to go on from, after the tempo was changed amid the music.
async function start(position = 0) {
  stop();
  const session = { synth: new Synth(Number(find("loudness").value) / 100), timer: 0, frame: 0, next: 0, nextClick: 0 };
  playing = session;
  find("start").textContent = panel.dataset.stop;
  panel.dataset.running = "";
  let times;
  try {
    times = await load();
  } catch (error) {
    if (playing === session) { stop(); find("now").textContent = error.message || panel.dataset.failed; }
    return;
  }
  if (playing !== session) return;
  const from = times.bars[Math.min(position, times.bars.length - 1)]?.at_s ?? 0;
  const countIn = find("count-in").checked ? times.count_in.map((click) => ({ ...click, at_s: click.at_s + from })) : [];
  session.times = times;
  session.clicks = [...countIn, ...times.clicks.filter((click) => click.at_s >= from - 1e-6)];
  session.notes = times.notes.filter((note) => note.position >= position);
  const first = Math.min(from, session.clicks[0]?.at_s ?? from, session.notes[0]?.onset_s ?? from);
  await session.synth.resume();
  session.zero = session.synth.now() + LEAD_S - first;
  session.from = from;
  session.timer = setInterval(() => schedule(session), LOOK_EVERY_MS);
  schedule(session);
  session.frame = requestAnimationFrame(() => show(session));
}

function stop() {
  if (!playing) return;
  clearInterval(playing.timer);
  cancelAnimationFrame(playing.frame);
  playing.synth.close();
  playing = null;
  clearCircles();
  panel.dataset.sounding = "";
  delete panel.dataset.running;
  find("now").textContent = "";
  find("start").textContent = panel.dataset.play;
}

function schedule(session) {
  const until = session.synth.now() - session.zero + AHEAD_S;
  while (session.next < session.notes.length && session.notes[session.next].onset_s < until) {
    const note = session.notes[session.next++];
    if (soundOn("notes")) session.synth.note(note.midi, session.zero + note.onset_s, note.duration_s);
  }
  while (session.nextClick < session.clicks.length && session.clicks[session.nextClick].at_s < until) {
    const click = session.clicks[session.nextClick++];
    if (soundOn("click") || click.bar === "") session.synth.click(session.zero + click.at_s, click.accent);
  }
}

function show(session) {
  if (playing !== session) return;
  const at = session.synth.now() - session.zero;
  if (at > session.times.length_s + 0.2) { stop(); return; }
  const sounding = session.notes.filter((note) => note.onset_s <= at && at < note.onset_s + note.duration_s);
  mark(sounding.map((note) => note.id));
  const bar = session.times.bars.findLast((candidate) => candidate.at_s <= at + 1e-6);
  session.position = at < session.from ? undefined : bar?.position;
  find("now").textContent = at < session.from ? panel.dataset.counting : `${panel.dataset.barWords} ${bar?.bar ?? ""}`;
  session.frame = requestAnimationFrame(() => show(session));
}

function mark(ids) {
  const wanted = ids.join(" ");
  if (panel.dataset.sounding === wanted) return;
  panel.dataset.sounding = wanted;
  clearCircles();
  for (const id of ids) circleNote(id);
}

function clearCircles() {
  for (const circle of frame.querySelectorAll("[data-note-circle]")) circle.remove();
}

function circleNote(id) {
  const note = frame.querySelector(`[id="${CSS.escape(id)}"]`);
  if (!note) return;
  const head = (note.querySelector(".notehead") || note).getBoundingClientRect();
  const outer = frame.getBoundingClientRect();
  const circle = document.createElement("span");
  circle.dataset.noteCircle = id;
  Object.assign(circle.style, {
    left: `${head.left - outer.left + frame.scrollLeft - 7}px`, top: `${head.top - outer.top - 7}px`,
    width: `${head.width + 14}px`, height: `${head.height + 14}px`,
  });
  frame.append(circle);
  if (head.top < 0 || head.bottom > innerHeight) note.scrollIntoView({ block: "center" });
}

function goOn() {
  if (playing?.times) start(playing.position ?? 0);
}

if (panel && frame && "AudioContext" in window) {
  panel.hidden = false;
  find("start").addEventListener("click", () => (playing ? stop() : start()));
  find("bpm").addEventListener("input", () => { find("bpm-shown").textContent = find("bpm").value; });
  find("bpm").addEventListener("change", goOn);
  for (const name of ["from", "to"]) find(name).addEventListener("change", stop);
  find("loudness").addEventListener("input", () => playing?.synth.loudness(Number(find("loudness").value) / 100));
  addEventListener("keydown", (event) => { if (event.key === "Escape") stop(); });
  addEventListener("pagehide", stop);
}
