// What comes before a recording: a count-in, or the time to take one's place in a mock audition.
import { STRONG, Synth } from "../repertoire/synth.js";

const LOUDNESS = 0.8;
const LEAD_S = 0.2; // until the first click, so that it is never late
const BREATH_BEATS = 0.5; // recording begins so much before the music: no click is in it, no first note is lost
const WEAK = STRONG - 1;
const PLACE_S = 10;

export const wait = (milliseconds, signal) => new Promise((resolve) => {
  setTimeout(resolve, milliseconds);
  signal?.addEventListener("abort", resolve);
});

export class CountIn {
  constructor({ bpm, bar, clicks, lead }) {
    Object.assign(this, { beatS: 60 / bpm, bar: Number(bar), clicks: Number(clicks), lead: Number(lead) });
  }

  sound(synth) {
    const zero = synth.now() + LEAD_S;
    for (let beat = 0; beat < this.clicks; beat += 1)
      synth.click(zero + beat * this.beatS, beat % this.bar ? WEAK : STRONG, true);
    return zero + (this.lead - BREATH_BEATS) * this.beatS;
  }

  async run(signal) {
    const synth = new Synth(LOUDNESS);
    await synth.resume();
    const until = this.sound(synth);
    while (synth.now() < until && !signal.aborted) await wait(Math.min(50, 1000 * (until - synth.now())));
    await synth.close();
  }
}

export async function takePlace(tell, signal) {
  for (let left = PLACE_S; left > 0 && !signal.aborted; left -= 1) {
    tell(left);
    await wait(1000, signal);
  }
}
