// A span of a take: its sound goes on from the start and pauses at the end.

export class Span {
  constructor(audio) {
    this.audio = audio;
    this.endS = null;
    audio.addEventListener("timeupdate", () => this.check());
  }

  // Without an end after the start the sound simply goes on.
  begin(startS, endS) {
    this.audio.currentTime = startS;
    this.endS = endS > startS ? endS : null;
  }

  forget() {
    this.endS = null;
  }

  check() {
    if (this.endS === null || this.audio.currentTime < this.endS) return;
    this.endS = null;
    this.audio.pause();
  }
}
