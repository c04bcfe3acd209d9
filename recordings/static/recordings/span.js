// Stretches of a take, heard one after the other: the sound pauses at the end of the last.

export class Span {
  constructor(audio) {
    this.audio = audio;
    this.forget();
    audio.addEventListener("timeupdate", () => this.check());
  }

  // spans: [[startS, endS], ...]. Without an end after the start the sound simply goes on.
  begin(spans) {
    this.ahead = spans.slice(1);
    const [startS, endS] = spans[0];
    this.audio.currentTime = startS;
    this.endS = endS > startS ? endS : null;
  }

  forget() {
    this.endS = null;
    this.ahead = [];
  }

  check() {
    if (this.endS === null || this.audio.currentTime < this.endS) return;
    if (this.ahead.length) {
      this.begin(this.ahead);
      return;
    }
    this.endS = null;
    this.audio.pause();
  }
}
