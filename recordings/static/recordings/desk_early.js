// Keys pressed while the desk is not ready wait for it, and scroll nothing meanwhile.
(() => {
  const early = [];
  let byHand = false;
  const kept = (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.closest("input, textarea, select, button, summary, a")) return;
    if (event.key.length > 1 && !["ArrowLeft", "ArrowRight"].includes(event.key)) return;
    const { key, code, shiftKey } = event;
    if (!byHand) early.push({ key, code, shiftKey });
    event.preventDefault();
  };
  // Who clicks meanwhile means to write: those letters must not become orders to the next take.
  const clicked = () => {
    byHand = true;
    early.length = 0;
  };
  const wait = () => {
    byHand = false;
    addEventListener("keydown", kept, true);
    addEventListener("pointerdown", clicked, true);
  };
  wait();
  addEventListener("desk-waits", wait);
  addEventListener("desk-ready", () => {
    removeEventListener("keydown", kept, true);
    removeEventListener("pointerdown", clicked, true);
    for (const key of early.splice(0))
      document.body.dispatchEvent(new KeyboardEvent("keydown", { ...key, bubbles: true, cancelable: true }));
  });
})();
