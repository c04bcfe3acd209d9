// Keeps a timetable sounding: events go to the audio clock well ahead, so that a busy page shifts nothing
// and a page in the background, woken once a second only, leaves no gap.
const AHEAD_S = 2.5;
const LOOK_EVERY_MS = 200;
const LEAD_S = 0.15;
const LAST_RINGS_S = 0.2;

export class Sounding {
  constructor(synth, timetable, { onEnd = () => {} } = {}) {
    Object.assign(this, { synth, timetable, onEnd });
  }

  async start() {
    await this.synth.resume();
    this.zero = this.synth.now() + LEAD_S - this.timetable.beginsS;
    this.filledS = this.timetable.beginsS;
    this.timer = setInterval(() => this.fill(), LOOK_EVERY_MS);
    this.fill();
  }

  get atS() { return this.synth.now() - this.zero; }

  fill() {
    const untilS = this.atS + AHEAD_S;
    for (const event of this.timetable.between(this.filledS, untilS)) this.synth.sound(event, this.zero);
    this.filledS = Math.max(this.filledS, untilS);
    if (this.atS > this.timetable.endsS + LAST_RINGS_S) {
      this.stop();
      this.onEnd();
    }
  }

  stop() {
    clearInterval(this.timer);
    this.synth.close();
  }
}
