// Says when there is no network, and has the service worker keep the pages one practises and records with.
const sign = document.querySelector("[data-offline-sign]");
const wish = document.querySelector("meta[name=keep-offline]");
const DRAWING = /\/music\/\d+\/score\.svg/;

function show() {
  sign.hidden = navigator.onLine && !("kept" in document.body.dataset);
}

async function keep() {
  await navigator.serviceWorker.register("/worker.js", { scope: "/" });
  const { active } = await navigator.serviceWorker.ready;
  const { files } = await (await fetch("/offline/files.json")).json();
  const drawings = performance.getEntriesByType("resource").map(({ name }) => name).filter((name) => DRAWING.test(name));
  navigator.serviceWorker.addEventListener("message", () => { document.body.dataset.opensOffline = ""; });
  active.postMessage({ files, pages: [location.href.split("#")[0], ...wish.content.split(" ").filter(Boolean), ...drawings] }, []);
}

if (sign) {
  addEventListener("offline", show);
  addEventListener("online", () => {
    delete document.body.dataset.kept;
    show();
  });
  show();
}
if (wish && navigator.onLine && "serviceWorker" in navigator) {
  // After what the page itself needs.
  if (document.readyState === "complete") keep().catch(() => {});
  else addEventListener("load", () => keep().catch(() => {}));
}
