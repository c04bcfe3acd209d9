// Sends one file in pieces, in the words of tus 1.0.0, from where the server says it stands.
import { csrfToken } from "../studio/csrf.js";
import { base64, hex, sha256Of } from "./sha256.js";

const VERSION = "1.0.0";
const LEAST = 262_144;
const FIRST = 524_288;
const MOST = 8_388_608;
const QUICK_MS = 2000;
const SLOW_MS = 10_000;
const LONGEST_MS = 300_000; // looking at a long take in the end is part of the last piece
const MOST_WRONG = 5;

export class Lost extends Error {}
export class SignedOut extends Error {}
export class Refused extends Error {
  constructor(sentence, status) {
    super(sentence);
    this.isFinal = [413, 422].includes(status);
  }
}

function ask(method, address, { headers = {}, body = null, progress = null, signal } = {}) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open(method, address);
    const said = { "Tus-Resumable": VERSION, "X-CSRFToken": csrfToken(), ...headers };
    for (const [name, value] of Object.entries(said)) request.setRequestHeader(name, value);
    request.timeout = LONGEST_MS;
    if (progress) request.upload.addEventListener("progress", (event) => progress(event.loaded));
    request.addEventListener("load", () => {
      if (request.responseURL && request.responseURL !== new URL(address, location.href).href) reject(new SignedOut());
      else if (request.status >= 500 && request.status !== 507) reject(new Lost());
      else resolve(request);
    });
    for (const kind of ["error", "timeout", "abort"]) request.addEventListener(kind, () => reject(new Lost()));
    signal?.addEventListener("abort", () => request.abort());
    if (signal?.aborted) reject(new Lost());
    else request.send(body);
  });
}

function refusal(answer) {
  try {
    return new Refused(JSON.parse(answer.responseText).error, answer.status);
  } catch {
    return new Lost();
  }
}

const offsetIn = (answer) => Number(answer.getResponseHeader("Upload-Offset"));
const pageIn = (answer) => answer.getResponseHeader("Content-Location");
const encoded = (text) => base64(new TextEncoder().encode(text));

async function begin(item, signal) {
  const metadata = `filename ${encoded(item.name)},sha256 ${encoded(item.sha256)}`;
  const headers = { "Upload-Length": String(item.file.size), "Upload-Metadata": metadata };
  const answer = await ask("POST", item.beginAt, { headers, signal });
  if (answer.status === 200 && pageIn(answer)) return { page: pageIn(answer) };
  if (answer.status !== 201) throw refusal(answer);
  return { location: answer.getResponseHeader("Location"), offset: offsetIn(answer) };
}

async function whereItStands(item, signal) {
  const answer = await ask("HEAD", item.location, { signal });
  if ([404, 410].includes(answer.status)) return begin(item, signal);
  if (answer.status !== 200) throw new Lost();
  return { location: item.location, offset: offsetIn(answer), page: pageIn(answer) };
}

export async function forget(location) {
  await ask("DELETE", location);
}

// On a bad network less is lost with each cut.
export function sendLess(item) {
  item.pieceBytes = Math.max(item.pieceBytes / 2, LEAST);
}

// `keep(facts)` stores what is learnt about the item; `tell(state, sent)` says how far it is.
export async function send(item, { keep, tell, signal }) {
  if (!item.sha256) {
    tell("looking", 0);
    await keep({ sha256: hex(await sha256Of(item.file)) });
  }
  let stands = item.location ? await whereItStands(item, signal) : await begin(item, signal);
  item.pieceBytes ??= FIRST;
  let wrong = 0;
  while (!stands.page) {
    if (stands.location !== item.location) await keep({ location: stands.location });
    const { offset } = stands;
    item.kept = offset;
    tell("sending", offset);
    const piece = item.file.slice(offset, offset + item.pieceBytes);
    const headers = {
      "Content-Type": "application/offset+octet-stream",
      "Upload-Offset": String(offset),
      "Upload-Checksum": `sha256 ${base64(await sha256Of(piece))}`,
    };
    const began = performance.now();
    const progress = (loaded) => {
      const sent = offset + loaded;
      tell(sent >= item.file.size ? "checking" : "sending", sent);
    };
    const answer = await ask("PATCH", item.location, { headers, body: piece, progress, signal });
    const took = performance.now() - began;
    if (answer.status === 204) {
      stands = { location: item.location, offset: offsetIn(answer), page: pageIn(answer) };
      if (took < QUICK_MS) item.pieceBytes = Math.min(2 * item.pieceBytes, MOST);
      else if (took > SLOW_MS) sendLess(item);
    } else if ([404, 409, 410, 460].includes(answer.status)) {
      wrong += 1;
      if (wrong > MOST_WRONG) throw new Lost();
      stands = await whereItStands(item, signal);
    } else {
      throw refusal(answer);
    }
  }
  return stands.page;
}
