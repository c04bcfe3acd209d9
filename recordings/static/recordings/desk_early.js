// Keys pressed before the desk is ready wait for it, and scroll nothing meanwhile.
(() => {
  const early = [];
  const waits = (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.closest("input, textarea, select, button, summary, a")) return;
    if (event.key.length > 1 && !["ArrowLeft", "ArrowRight"].includes(event.key)) return;
    const { key, code, shiftKey } = event;
    early.push({ key, code, shiftKey });
    event.preventDefault();
  };
  addEventListener("keydown", waits);
  // The desk is ready: it takes over, and gets what was pressed.
  addEventListener("desk-ready", () => {
    removeEventListener("keydown", waits);
    for (const key of early) document.body.dispatchEvent(new KeyboardEvent("keydown", { ...key, bubbles: true, cancelable: true }));
  }, { once: true }); // prettier-ignore
})();
