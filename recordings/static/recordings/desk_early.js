// Keys pressed while the desk is not ready wait for it, and scroll nothing meanwhile.
(() => {
  const early = [];
  const kept = (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.closest("input, textarea, select, button, summary, a")) return;
    if (event.key.length > 1 && !["ArrowLeft", "ArrowRight"].includes(event.key)) return;
    const { key, code, shiftKey } = event;
    early.push({ key, code, shiftKey });
    event.preventDefault();
  };
  const wait = () => addEventListener("keydown", kept, true);
  wait();
  addEventListener("desk-waits", wait);
  addEventListener("desk-ready", () => {
    removeEventListener("keydown", kept, true);
    for (const key of early.splice(0))
      document.body.dispatchEvent(new KeyboardEvent("keydown", { ...key, bubbles: true, cancelable: true }));
  });
})();
