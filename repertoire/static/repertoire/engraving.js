// Puts the music, drawn anew for a width, into a frame whose `data-width` says how wide it was drawn last.

const latest = new WeakMap(); // frame to the address asked for last: an older drawing that comes late is dropped

const TRIES = 20;

// Long music is drawn aside; until it is there the server says when to ask again.
export async function drawn(address) {
  for (let left = TRIES; ; left -= 1) {
    const answer = await fetch(address, { credentials: "same-origin", cache: "no-cache" });
    const againS = Number(answer.headers.get("Retry-After"));
    if (answer.status !== 503 || !againS || !left) return answer;
    await new Promise((resolve) => setTimeout(resolve, againS * 1000));
  }
}

// False where the server could not be reached, answered with something else or was asked for another width
// since; the frame then stays as it was.
export async function engraveInto(frame, path, width) {
  const address = new URL(path, location.href);
  address.searchParams.set("width", String(Math.floor(width)));
  latest.set(frame, address.href);
  try {
    // Asked anew each time: a drawing kept by the browser may lack the fingers a teacher has shown since.
    const answer = await drawn(address);
    if (!answer.ok || answer.redirected) return false;
    const drawing = new DOMParser().parseFromString(await answer.text(), "image/svg+xml").documentElement;
    if (drawing.localName !== "svg" || latest.get(frame) !== address.href) return false;
    frame.replaceChildren(document.importNode(drawing, true));
  } catch {
    return false;
  }
  frame.dataset.width = String(Math.floor(width));
  return true;
}
