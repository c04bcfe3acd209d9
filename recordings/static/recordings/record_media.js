// The microphone as it is, and a recording of it written to this device piece by piece.
export const RAW = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };
const CODECS = ["audio/webm;codecs=opus", "audio/mp4;codecs=opus", "audio/ogg;codecs=opus", "audio/mp4;codecs=mp4a.40.2"];
const BITS_A_SECOND = 192_000;
const PIECE_MS = 1000; // what a crash may cost

export function microphone() {
  return navigator.mediaDevices.getUserMedia({ audio: { ...RAW, channelCount: { ideal: 1 } } });
}

// Begins at once; `onStop` is called when it has stopped, with a promise of whether all of it was written.
// A device without room stops it.
export function recordInto(store, stream, facts, onStop) {
  const type = CODECS.find((codec) => MediaRecorder.isTypeSupported(codec)) ?? "";
  const media = new MediaRecorder(stream, { mimeType: type, audioBitsPerSecond: BITS_A_SECOND });
  const recording = { ...facts, type: media.mimeType, seconds: 0 };
  let number = 0;
  let written = Promise.resolve(true);
  media.addEventListener("dataavailable", ({ data }) => {
    if (!data.size) return;
    const row = { ...recording, seconds: (Date.now() - recording.began) / 1000 };
    const place = number;
    number += 1;
    written = written.then((all) => all && store.add(row, place, data).then(() => true)).catch(() => {
      if (media.state !== "inactive") media.stop();
      return false;
    });
  });
  media.addEventListener("stop", () => onStop(written));
  media.start(PIECE_MS);
  return media;
}

export function fileOf(recording, sound) {
  const ending = recording.type.match(/^audio\/(\w+)/)?.[1] ?? "webm";
  return new File([sound], `recorded-${recording.id.slice(0, 8)}.${ending}`, { type: recording.type });
}
