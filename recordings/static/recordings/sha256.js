// SHA-256 (FIPS 180-4) of bytes that come piece by piece; the browser's own needs all of them at once, and HTTPS.

const isPrime = (number) => {
  for (let factor = 2; factor * factor <= number; factor += 1) if (number % factor === 0) return false;
  return true;
};
const PRIMES = [];
for (let number = 2; PRIMES.length < 64; number += 1) if (isPrime(number)) PRIMES.push(number);
const fraction = (root) => ((root - Math.floor(root)) * 2 ** 32) | 0;
const START = PRIMES.slice(0, 8).map((prime) => fraction(Math.sqrt(prime)));
const ROUNDS = Int32Array.from(PRIMES, (prime) => fraction(Math.cbrt(prime)));
const BLOCK = 64;
const SLICE = 262_144; // between two of these the page may draw

export class Sha256 {
  constructor() {
    this.state = Int32Array.from(START);
    this.words = new Int32Array(64);
    this.rest = new Uint8Array(BLOCK);
    this.length = 0;
  }

  update(bytes) {
    let place = 0;
    let held = this.length % BLOCK;
    this.length += bytes.length;
    if (held) {
      place = Math.min(BLOCK - held, bytes.length);
      this.rest.set(bytes.subarray(0, place), held);
      held += place;
      if (held < BLOCK) return this;
      this.block(new DataView(this.rest.buffer), 0);
    }
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    for (; place + BLOCK <= bytes.length; place += BLOCK) this.block(view, place);
    this.rest.set(bytes.subarray(place));
    return this;
  }

  block(view, place) {
    const { words } = this;
    for (let i = 0; i < 16; i += 1) words[i] = view.getInt32(place + 4 * i);
    for (let i = 16; i < 64; i += 1) {
      const x = words[i - 15];
      const y = words[i - 2];
      const s0 = ((x >>> 7) | (x << 25)) ^ ((x >>> 18) | (x << 14)) ^ (x >>> 3);
      const s1 = ((y >>> 17) | (y << 15)) ^ ((y >>> 19) | (y << 13)) ^ (y >>> 10);
      words[i] = (words[i - 16] + s0 + words[i - 7] + s1) | 0;
    }
    let [a, b, c, d, e, f, g, h] = this.state;
    for (let i = 0; i < 64; i += 1) {
      const s1 = ((e >>> 6) | (e << 26)) ^ ((e >>> 11) | (e << 21)) ^ ((e >>> 25) | (e << 7));
      const t1 = (h + s1 + ((e & f) ^ (~e & g)) + ROUNDS[i] + words[i]) | 0;
      const s0 = ((a >>> 2) | (a << 30)) ^ ((a >>> 13) | (a << 19)) ^ ((a >>> 22) | (a << 10));
      const t2 = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
      [h, g, f, e, d, c, b, a] = [g, f, e, (d + t1) | 0, c, b, a, (t1 + t2) | 0];
    }
    [a, b, c, d, e, f, g, h].forEach((value, i) => { this.state[i] += value; });
  }

  digest() {
    const bits = this.length * 8;
    const held = this.length % BLOCK;
    const end = new Uint8Array((held < 56 ? 56 : 120) - held + 8);
    end[0] = 0x80;
    const view = new DataView(end.buffer);
    view.setUint32(end.length - 8, Math.floor(bits / 2 ** 32));
    view.setUint32(end.length - 4, bits >>> 0);
    this.update(end);
    const digest = new DataView(new ArrayBuffer(32));
    this.state.forEach((value, i) => digest.setInt32(4 * i, value));
    return new Uint8Array(digest.buffer);
  }
}

export const hex = (bytes) => [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
export const base64 = (bytes) => btoa(String.fromCharCode(...bytes));

export async function sha256Of(blob) {
  const sum = new Sha256();
  for (let place = 0; place < blob.size; place += SLICE)
    sum.update(new Uint8Array(await blob.slice(place, place + SLICE).arrayBuffer()));
  return sum.digest();
}
