// How long sending will still take, in words, from the pace of the last seconds.

const WINDOW_MS = 20_000;
const LEAST_MS = 1500;

export class Pace {
  constructor() {
    this.seen = [];
  }

  // Bytes that arrived in all; what lay there before counts for no pace.
  note(bytes, now = performance.now()) {
    if (this.seen.length && bytes < this.seen.at(-1).bytes) this.seen = [];
    this.seen.push({ bytes, now });
    while (this.seen.length > 2 && now - this.seen[0].now > WINDOW_MS) this.seen.shift();
  }

  secondsFor(bytes) {
    const first = this.seen[0];
    const last = this.seen.at(-1);
    if (!first || last.now - first.now < LEAST_MS || last.bytes === first.bytes) return null;
    return (bytes * (last.now - first.now)) / (last.bytes - first.bytes) / 1000;
  }
}

export function inWords(seconds, words) {
  if (seconds === null) return "";
  if (seconds < 50) return words.secondsLeft;
  const minutes = Math.round(seconds / 60);
  if (minutes <= 1) return words.minuteLeft;
  if (minutes < 55) return words.minutesLeft.replace("{n}", minutes);
  const hours = Math.round(seconds / 3600);
  return hours <= 1 ? words.hourLeft : words.hoursLeft.replace("{n}", hours);
}
