// Tones, clicks and a drone on one audio clock. The cap holds whatever the page's own control says:
// the device's volume may be turned up, and ears are easily tired.
const CAP = 0.25;
const RISE_S = 0.012;
const FALL_S = 0.05;
const SETTLED = 0.75; // of the first height: a tone speaks, then settles
const SETTLES_S = 0.12;
const NOTE_LEVEL = 0.9;
const DRONE_LEVEL = 0.6;
const DRONE_FADE_S = 0.12;

// From the first beat of a bar down to the parts of a beat: pitch tells them apart as much as loudness.
export const STRONG = 3;
const CLICKS = [
  { hertz: 700, level: 0.25 },
  { hertz: 1000, level: 0.45 },
  { hertz: 1250, level: 0.6 },
  { hertz: 1700, level: 0.85 },
];
const CLICK_RISE_S = 0.001;
const CLICK_S = 0.045;

// A phone's speaker gives next to nothing below some 300 Hz (from memory); the ear hears a low note all the same
// from its higher partials, so those keep their strength up to where the sound would turn sharp.
const BRIGHT_TO_HZ = 1200;
const HIGHEST_HZ = 6000;
const MOST_PARTIALS = 40;

export function partials(hertz) {
  const heights = [];
  for (let k = 1; k <= MOST_PARTIALS && k * hertz <= Math.max(HIGHEST_HZ, hertz); k += 1)
    heights.push(1 / (Math.sqrt(k) * (1 + ((k * hertz) / BRIGHT_TO_HZ) ** 2)));
  const power = Math.hypot(...heights);
  return heights.map((height) => height / power);
}

export const hertzOf = (midi, aHz = 440) => aHz * 2 ** ((midi - 69) / 12);

export class Synth {
  constructor(share, { context = new AudioContext(), aHz = 440 } = {}) {
    this.context = context;
    this.aHz = aHz;
    this.waves = new Map();
    this.limit = new DynamicsCompressorNode(context, { threshold: -18, ratio: 12, attack: 0.003, release: 0.1 });
    this.out = new GainNode(context, { gain: 0 });
    this.limit.connect(this.out).connect(context.destination);
    this.notes = new GainNode(context);
    this.clicks = new GainNode(context);
    this.notes.connect(this.limit);
    this.clicks.connect(this.limit);
    this.loudness(share);
  }

  loudness(share) { this.out.gain.value = CAP * Math.min(1, Math.max(0, share)); }

  // What is scheduled goes on in silence, so that switching back does not shift the beat.
  letHear({ notes, clicks }) {
    this.notes.gain.value = notes ? 1 : 0;
    this.clicks.gain.value = clicks ? 1 : 0;
  }

  now() { return this.context.currentTime; }

  resume() { return this.context.resume(); }

  close() { return this.context.close(); }

  // An event of a timetable; `zero` is the audio clock's time of its second 0.
  sound(event, zero) {
    if (event.kind === "note") this.note(event.midi, zero + event.atS, event.durationS);
    else this.click(zero + event.atS, event.level, event.counting);
  }

  note(midi, at, duration) {
    const begin = Math.max(at, this.now());
    const end = Math.max(begin + RISE_S + FALL_S, at + duration);
    const { voice, shape } = this.voice(hertzOf(midi, this.aHz), this.notes);
    shape.gain.setValueAtTime(0, begin);
    shape.gain.linearRampToValueAtTime(NOTE_LEVEL, begin + RISE_S);
    shape.gain.setTargetAtTime(NOTE_LEVEL * SETTLED, begin + RISE_S, SETTLES_S);
    shape.gain.setTargetAtTime(0, end - FALL_S, FALL_S / 3);
    voice.start(begin);
    voice.stop(end + FALL_S);
  }

  // A count-in is heard also where the click is switched off.
  click(at, level, counting = false) {
    const { hertz, level: height } = CLICKS[level];
    const begin = Math.max(at, this.now());
    const voice = new OscillatorNode(this.context, { frequency: hertz, type: "sine" });
    const shape = new GainNode(this.context, { gain: 0 });
    shape.gain.setValueAtTime(0, begin);
    shape.gain.linearRampToValueAtTime(height, begin + CLICK_RISE_S);
    shape.gain.exponentialRampToValueAtTime(0.001, begin + CLICK_S);
    voice.connect(shape).connect(counting ? this.limit : this.clicks);
    voice.start(begin);
    voice.stop(begin + CLICK_S);
  }

  // Sounds until its `stop`; `at` lets it begin at a moment of the audio clock.
  drone(hertz, at = this.now()) {
    const { voice, shape } = this.voice(hertz, this.limit);
    shape.gain.setValueAtTime(0, at);
    shape.gain.linearRampToValueAtTime(DRONE_LEVEL, at + DRONE_FADE_S);
    voice.start(at);
    return {
      stop: () => {
        shape.gain.setTargetAtTime(0, this.now(), DRONE_FADE_S / 3);
        voice.stop(this.now() + 2 * DRONE_FADE_S);
      },
    };
  }

  voice(hertz, into) {
    const voice = new OscillatorNode(this.context, { frequency: hertz, periodicWave: this.wave(hertz) });
    const shape = new GainNode(this.context, { gain: 0 });
    voice.connect(shape).connect(into);
    return { voice, shape };
  }

  wave(hertz) {
    if (!this.waves.has(hertz)) {
      const imag = [0, ...partials(hertz)];
      const real = imag.map(() => 0);
      this.waves.set(hertz, new PeriodicWave(this.context, { real, imag, disableNormalization: true }));
    }
    return this.waves.get(hertz);
  }
}
