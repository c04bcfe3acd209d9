// A drone to tune against and the tuning note, at an A this device remembers.
import { hertzOf, Synth } from "./synth.js";

const KEPT_AS = "fairhearing-a-hz";
const A4 = 69;

export function startDrone(panel, { aHz, loudness }) {
  const find = (name) => panel.querySelector(`[data-${name}]`);
  const chosen = find("a-hz");
  let sounding = null;

  function stop() {
    sounding?.button.setAttribute("aria-pressed", "false");
    sounding?.synth.close();
    sounding = null;
  }

  function toggle(button, midi) {
    const same = sounding?.button === button;
    stop();
    if (same) return;
    const synth = new Synth(loudness(), { aHz: aHz() });
    sounding = { button, synth };
    button.setAttribute("aria-pressed", "true");
    synth.resume();
    synth.drone(hertzOf(midi(), aHz()));
  }

  const droneMidi = () => Number(find("drone-note").value) + Number(find("drone-octave").value);
  const again = () => {
    if (!sounding) return;
    const { button } = sounding;
    stop();
    button.click();
  };
  find("drone").addEventListener("click", () => toggle(find("drone"), droneMidi));
  find("tuning").addEventListener("click", () => toggle(find("tuning"), () => A4));
  for (const name of ["drone-note", "drone-octave"]) find(name).addEventListener("change", again);
  find("loudness").addEventListener("input", () => sounding?.synth.loudness(loudness()));
  addEventListener("pagehide", stop);
  addEventListener("keydown", (event) => { if (event.key === "Escape") stop(); });

  const kept = localStorage.getItem(KEPT_AS);
  if (kept) chosen.value = kept;
  chosen.addEventListener("change", () => {
    if (chosen.checkValidity() && chosen.value) localStorage.setItem(KEPT_AS, chosen.value);
    again();
  });
}
