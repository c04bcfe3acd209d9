// Says when there is no network, and has the service worker keep the pages one practises and records with.
const sign = document.querySelector("[data-offline-sign]");
const wish = document.querySelector("meta[name=keep-offline]");
const saysSoItself = document.querySelector("[data-kept-pages]") !== null;
const DRAWING = /\/music\/\d+\/score\.svg/;

function show() {
  sign.hidden = saysSoItself || (navigator.onLine && !("kept" in document.body.dataset));
}

async function keep() {
  await navigator.serviceWorker.register("/worker.js", { scope: "/" });
  const { active } = await navigator.serviceWorker.ready;
  const { files } = await (await fetch("/offline/files.json")).json();
  navigator.serviceWorker.addEventListener("message", () => { document.body.dataset.opensOffline = ""; });
  active.postMessage({ files, pages: [location.href.split("#")[0], ...wish.content.split(" ").filter(Boolean)] }, []);
  // The music that fits this screen is drawn after the page is there, and anew when the screen is turned.
  new PerformanceObserver((list) => {
    const drawings = list.getEntries().map(({ name }) => name).filter((name) => DRAWING.test(name));
    if (drawings.length) active.postMessage({ pages: drawings }, []);
  }).observe({ type: "resource", buffered: true });
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
