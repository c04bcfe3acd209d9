// "Hear it" on the pages that show a released review: plays every place a remark speaks of and stops.
import { Span } from "./span.js";

const audio = document.querySelector("audio");

// The review page has a player of its own that minds these buttons.
if (audio && !document.getElementById("player")) {
  const span = new Span(audio);
  // Whoever stops and moves the sound by hand afterwards is not stopped again.
  audio.addEventListener("pause", () => span.forget());
  for (const button of document.querySelectorAll("[data-hear]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      span.begin(JSON.parse(button.dataset.hear));
      // The browser may refuse to play; its own controls then still can.
      audio.play().catch(() => {});
    });
  }
}
