// "Hear it" on the pages that show a released review: plays a remark's span of the take and stops.

const audio = document.querySelector("audio");
let stopAt = null;

function hear(button) {
  audio.currentTime = Number(button.dataset.start);
  stopAt = button.dataset.end ? Number(button.dataset.end) : null;
  // The browser may refuse to play; its own controls then still can.
  audio.play().catch(() => {});
}

// The review page has a player of its own that minds these buttons.
if (audio && !document.getElementById("player")) {
  for (const button of document.querySelectorAll("[data-hear]")) {
    button.hidden = false;
    button.addEventListener("click", () => hear(button));
  }
  // Whoever stops and moves the sound by hand afterwards is not stopped again.
  audio.addEventListener("pause", () => { stopAt = null; });
  audio.addEventListener("timeupdate", () => {
    if (stopAt === null || audio.currentTime < stopAt) return;
    stopAt = null;
    audio.pause();
  });
}
