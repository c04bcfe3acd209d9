// Sounds the music at the times the server worked out, circles the sounding note, and clicks the beats.
import { startDrone } from "./drone_panel.js";
import { startLadder } from "./ladder_panel.js";
import { Sounding } from "./sounding.js";
import { Synth } from "./synth.js";
import { atTempo, stretch, Timetable } from "./timetable.js";

const TEMPO_STEP = 2;

const panel = document.querySelector("[data-play-along]");
const frame = document.querySelector("[data-score]");
const find = (name) => panel.querySelector(`[data-${name}]`);
const kept = new Map(); // times by address: a change of tempo asks for nothing
let playing = null;

const loops = () => find("loop").getAttribute("aria-pressed") === "true";
const aHz = () => Number(find("a-hz").value) || 440;
const soundOn = (kind) => panel.querySelector(`[data-sound="${kind}"]`).checked;
const loudness = () => Number(find("loudness").value) / 100;

function address() {
  const asked = new URLSearchParams({ from: find("from").value, to: find("to").value });
  const whole = find("from").selectedIndex === 0 && find("to").selectedIndex === find("to").options.length - 1;
  if (whole) { asked.delete("from"); asked.delete("to"); }
  const joint = panel.dataset.times.includes("?") ? "&" : "?";
  return `${panel.dataset.times}${joint}${asked}`;
}

async function ask(wanted) {
  const answer = await fetch(wanted, { credentials: "same-origin" });
  const content = await answer.json();
  if (!answer.ok) throw new Error(content.error);
  return content;
}

async function load() {
  const wanted = address();
  if (!kept.has(wanted)) {
    kept.set(wanted, await ask(wanted).catch(async (error) => {
      // Without network: the whole was kept when the page was opened, and any bars are cut from it here.
      if (!(error instanceof TypeError)) throw error;
      const labels = [...find("from").options].map((option) => option.value);
      return stretch(await ask(panel.dataset.times), labels, find("from").value, find("to").value);
    }));
  }
  return atTempo(kept.get(wanted), Number(find("bpm").value));
}

// `position` is the played bar to go on from, after the tempo was changed amid the music.
async function start(position = 0) {
  stop();
  const session = { synth: new Synth(loudness(), { aHz: aHz() }), frame: 0 };
  playing = session;
  hear();
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
  session.timetable = new Timetable(times, {
    countIn: find("count-in").checked, loop: loops(), position, parts: Number(find("parts").value),
  });
  session.sounding = new Sounding(session.synth, session.timetable, { onEnd: stop });
  await session.sounding.start();
  session.frame = requestAnimationFrame(() => show(session));
}

function stop() {
  if (!playing) return;
  cancelAnimationFrame(playing.frame);
  if (playing.sounding) playing.sounding.stop();
  else playing.synth.close();
  playing = null;
  clearCircles();
  panel.dataset.sounding = "";
  delete panel.dataset.running;
  find("now").textContent = "";
  find("start").textContent = panel.dataset.play;
}

function hear() {
  playing?.synth.letHear({ notes: soundOn("notes"), clicks: soundOn("clicks") });
}

function show(session) {
  if (playing !== session) return;
  const { timetable, sounding } = session;
  const counting = sounding.atS < timetable.fromS;
  mark(counting ? [] : timetable.notesAt(sounding.atS).map((note) => note.id));
  const bar = timetable.barAt(sounding.atS);
  session.position = counting ? undefined : bar?.position;
  find("now").textContent = counting ? panel.dataset.counting : `${panel.dataset.barWords} ${bar?.bar ?? ""}`;
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
  if (head.top < 0 || head.bottom > panel.getBoundingClientRect().top) note.scrollIntoView({ block: "center" });
}

function goOn() {
  if (playing?.timetable) start(playing.position ?? 0);
}

function setTempo(bpm) {
  find("bpm").value = bpm;
  find("bpm-shown").textContent = find("bpm").value;
  goOn();
}

if (panel && frame && "AudioContext" in window) {
  panel.hidden = false;
  find("start").addEventListener("click", () => (playing ? stop() : start()));
  find("bpm").addEventListener("input", () => { find("bpm-shown").textContent = find("bpm").value; });
  for (const name of ["bpm", "parts", "a-hz"]) find(name).addEventListener("change", goOn);
  find("slower").addEventListener("click", () => setTempo(Number(find("bpm").value) - TEMPO_STEP));
  find("faster").addEventListener("click", () => setTempo(Number(find("bpm").value) + TEMPO_STEP));
  find("loop").addEventListener("click", () => {
    find("loop").setAttribute("aria-pressed", String(!loops()));
    goOn();
  });
  for (const name of ["from", "to"]) find(name).addEventListener("change", stop);
  for (const box of panel.querySelectorAll("[data-sound]")) box.addEventListener("change", hear);
  find("loudness").addEventListener("input", () => playing?.synth.loudness(loudness()));
  addEventListener("keydown", (event) => { if (event.key === "Escape") stop(); });
  addEventListener("pagehide", stop);
  startLadder(panel, setTempo);
  startDrone(panel, { aHz, loudness });
}
