// A tempo ladder: begins well under the target, goes up a step after so many calm goes, ends at the target.
// The player says what was calm; nothing here listens. Share, step and count are common practice, no published source.
const BEGINS_AT = 0.6; // of the target
export const CALM_GOES = 3;

export function rungs(target, step, begins = Math.round(target * BEGINS_AT)) {
  const found = [];
  for (let bpm = begins; bpm < target; bpm += step) found.push(bpm);
  return [...found, target];
}

export class Ladder {
  constructor(target, step, goes = CALM_GOES) {
    Object.assign(this, { rungs: rungs(target, step), goes, rung: 0, calm: 0 });
  }

  get bpm() { return this.rungs[this.rung]; }

  get next() { return this.rungs[this.rung + 1] ?? null; }

  get done() { return this.next === null && this.calm >= this.goes; }

  // True where it went up.
  wasCalm() {
    this.calm = Math.min(this.goes, this.calm + 1);
    if (this.calm < this.goes || this.next === null) return false;
    this.rung += 1;
    this.calm = 0;
    return true;
  }

  wasNotYet() { this.calm = 0; }
}
