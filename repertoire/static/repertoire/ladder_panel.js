// The tempo ladder's buttons: the player says which goes were calm, the tempo follows.
import { Ladder } from "./ladder.js";

const fill = (words, values) => words.replace(/\{(\w+)\}/g, (_, name) => values[name]);

export function startLadder(panel, setTempo) {
  const find = (name) => panel.querySelector(`[data-${name}]`);
  let ladder = null;

  function show() {
    const { bpm, next, goes, calm, done } = ladder;
    const words = done ? panel.dataset.done : next === null ? panel.dataset.top : panel.dataset.rung;
    find("ladder-now").textContent = fill(words, { bpm, next, target: ladder.rungs.at(-1) });
    find("ladder-calm").textContent = fill(panel.dataset.calm, { done: calm, goes });
    find("ladder-calm").hidden = done;
    find("ladder-not-yet").hidden = done;
  }

  find("ladder-begin").addEventListener("click", () => {
    ladder = new Ladder(Number(panel.dataset.target), Number(find("step").value));
    find("ladder").hidden = false;
    setTempo(ladder.bpm);
    show();
  });
  find("ladder-calm").addEventListener("click", () => {
    if (ladder.wasCalm()) setTempo(ladder.bpm);
    show();
  });
  find("ladder-not-yet").addEventListener("click", () => {
    ladder.wasNotYet();
    show();
  });
}
