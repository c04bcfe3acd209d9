// What a microphone hears, as numbers: peak and loudness of now, and hum of the mains.
// Levels in dB of full scale. Limits were chosen by hand, from memory of setting a recorder; none was measured.
const TOO_LOUD_DB = -1;
const GOOD_DB = -30;
const SOFT_DB = -50;
const QUIET_ROOM_DB = -55;
const NOISY_ROOM_DB = -40;
const HUM_STANDS_OUT_DB = 15; // over the frequencies around it
const HUM_LEAST_DB = -85; // fainter than this nobody hears it in a recording
const MAINS_HZ = [50, 60];

const decibels = (share) => 20 * Math.log10(Math.max(share, 1e-6));

export function levelWord(peakDb) {
  if (peakDb >= TOO_LOUD_DB) return "tooLoud";
  if (peakDb >= GOOD_DB) return "good";
  return peakDb >= SOFT_DB ? "soft" : "silent";
}

export function noiseWord(rmsDb) {
  if (rmsDb <= QUIET_ROOM_DB) return "quiet";
  return rmsDb <= NOISY_ROOM_DB ? "someNoise" : "noisy";
}

// Two of the first three partials must stand out: a single one may be a note somebody plays next door.
export function hums(spectrumDb, stepHz) {
  const standsOut = (hertz) => {
    const middle = Math.round(hertz / stepHz);
    const around = [...spectrumDb.slice(middle - 6, middle - 2), ...spectrumDb.slice(middle + 3, middle + 7)];
    const usual = around.sort((a, b) => a - b)[Math.floor(around.length / 2)];
    const peak = Math.max(...spectrumDb.slice(middle - 1, middle + 2));
    return peak > HUM_LEAST_DB && peak - usual > HUM_STANDS_OUT_DB;
  };
  return MAINS_HZ.some((mains) => [1, 2, 3].filter((partial) => standsOut(mains * partial)).length >= 2);
}

export class Listening {
  constructor(stream) {
    this.context = new AudioContext();
    this.analyser = new AnalyserNode(this.context, { fftSize: 16384, smoothingTimeConstant: 0.8 });
    this.context.createMediaStreamSource(stream).connect(this.analyser);
    this.samples = new Float32Array(this.analyser.fftSize);
    this.spectrum = new Float32Array(this.analyser.frequencyBinCount);
  }

  now() {
    this.analyser.getFloatTimeDomainData(this.samples);
    let peak = 0;
    let power = 0;
    for (const sample of this.samples) {
      peak = Math.max(peak, Math.abs(sample));
      power += sample * sample;
    }
    return { peakDb: decibels(peak), rmsDb: decibels(Math.sqrt(power / this.samples.length)) };
  }

  hum() {
    this.analyser.getFloatFrequencyData(this.spectrum);
    return hums([...this.spectrum], this.context.sampleRate / this.analyser.fftSize);
  }

  close() {
    return this.context.close();
  }
}
