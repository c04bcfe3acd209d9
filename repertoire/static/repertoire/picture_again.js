// A picture of long music that was still being drawn when the page asked for it is asked for again.
import { drawn } from "./engraving.js";

async function again(picture) {
  if (picture.dataset.again) return;
  picture.dataset.again = "asked";
  const address = new URL(picture.currentSrc || picture.src, location.href);
  const answer = await drawn(address).catch(() => null);
  if (!answer?.ok) return;
  picture.parentElement.querySelectorAll("source").forEach((source) => source.remove());
  picture.src = address.href + "&again=1";
}

for (const picture of document.querySelectorAll("picture.score img")) {
  if (picture.complete && !picture.naturalWidth && picture.loading !== "lazy") again(picture);
  else picture.addEventListener("error", () => again(picture), { once: true });
}
