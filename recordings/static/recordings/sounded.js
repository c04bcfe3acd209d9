// "Hear it sounded": the bars a remark speaks of, as printed, at the marked tempo.
import { Sounding } from "../repertoire/sounding.js";
import { Synth } from "../repertoire/synth.js";
import { Timetable } from "../repertoire/timetable.js";

const LOUDNESS = 0.6;
const take = document.querySelector("audio");
let playing = null;

function stop() {
  playing?.sounding.stop();
  if (playing) playing.button.textContent = playing.button.dataset.words;
  playing = null;
}

async function sound(button) {
  const synth = new Synth(LOUDNESS, { aHz: Number(button.dataset.aHz) });
  try {
    const answer = await fetch(button.dataset.sounded, { credentials: "same-origin" });
    const times = await answer.json();
    if (!answer.ok) throw new Error(times.error);
    synth.letHear({ notes: true, clicks: false });
    const sounding = new Sounding(synth, new Timetable(times), { onEnd: stop });
    playing = { button, sounding };
    button.textContent = button.dataset.stop;
    await sounding.start();
  } catch (error) {
    synth.close();
    button.textContent = error.message || button.dataset.failed;
  }
}

if ("AudioContext" in window) {
  take?.addEventListener("play", stop);
  addEventListener("pagehide", stop);
  for (const button of document.querySelectorAll("[data-sounded]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      const same = playing?.button === button;
      stop();
      if (same) return;
      take?.pause();
      sound(button);
    });
  }
}
