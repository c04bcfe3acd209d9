// A plain tone with a soft beginning and end. The cap holds whatever the page's own control says:
// the device's volume may be turned up, and ears are easily tired.
const CAP = 0.25;
const RISE_S = 0.015;
const FALL_S = 0.05;
const CLICK_S = 0.04;
const NOTE_LEVEL = 0.5;

export class Synth {
  constructor(share) {
    this.context = new AudioContext();
    this.limit = new DynamicsCompressorNode(this.context, { threshold: -18, ratio: 12, attack: 0.003, release: 0.1 });
    this.out = new GainNode(this.context, { gain: 0 });
    this.limit.connect(this.out).connect(this.context.destination);
    this.loudness(share);
  }

  loudness(share) { this.out.gain.value = CAP * Math.min(1, Math.max(0, share)); }

  now() { return this.context.currentTime; }

  resume() { return this.context.resume(); }

  close() { this.context.close(); }

  note(midi, at, duration) {
    const end = Math.max(at + RISE_S + FALL_S, at + duration);
    this.tone(440 * 2 ** ((midi - 69) / 12), at, end, "triangle", NOTE_LEVEL);
  }

  click(at, accent) { this.tone(accent ? 1600 : 1100, at, at + CLICK_S, "sine", accent ? 0.8 : 0.45); }

  tone(hertz, at, end, type, level) {
    const begin = Math.max(at, this.now());
    const voice = new OscillatorNode(this.context, { frequency: hertz, type });
    const shape = new GainNode(this.context, { gain: 0 });
    shape.gain.setValueAtTime(0, begin);
    shape.gain.linearRampToValueAtTime(level, begin + RISE_S);
    shape.gain.setValueAtTime(level, Math.max(begin + RISE_S, end - FALL_S));
    shape.gain.linearRampToValueAtTime(0, Math.max(begin + RISE_S, end - FALL_S) + FALL_S);
    voice.connect(shape).connect(this.limit);
    voice.start(begin);
    voice.stop(Math.max(begin + RISE_S, end - FALL_S) + FALL_S + 0.01);
  }
}
