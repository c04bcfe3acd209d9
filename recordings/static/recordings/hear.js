// "Hear it" plays the sound from one moment to another and stops there.

let stopAt = null;

function hear(button) {
  const sound = document.getElementById(button.dataset.hear);
  sound.currentTime = Number(button.dataset.start);
  stopAt = button.dataset.end ? Number(button.dataset.end) : null;
  sound.play();
  sound.ontimeupdate = () => {
    if (stopAt !== null && sound.currentTime >= stopAt) {
      stopAt = null;
      sound.pause();
    }
  };
  // Whoever moves the player by hand afterwards is not stopped.
  sound.onpause = () => { stopAt = null; };
}

for (const button of document.querySelectorAll("[data-hear]")) {
  button.addEventListener("click", () => hear(button));
}
