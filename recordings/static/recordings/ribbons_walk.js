// Walking a ribbon by keyboard: one tab stop, the arrow keys go from note to note or bar to bar, Enter plays.

export function setUpWalking(root, status) {
  root.addEventListener("keydown", (event) => {
    const here = event.target.closest(".labelled");
    if (!here) return;
    if (event.key === "Enter") here.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    else if (event.key === "ArrowRight") walk(root, here, 1);
    else if (event.key === "ArrowLeft") walk(root, here, -1);
    else return;
    event.preventDefault();
    event.stopPropagation();
  });
  for (const kind of ["focusin", "pointerover"])
    root.addEventListener(kind, (event) => {
      const here = event.target.closest(".labelled");
      if (here) status.textContent = here.getAttribute("aria-label");
    });
}

function walk(root, here, direction) {
  const kind = here.closest(".ribbon").classList.contains("pitch") ? "pitch" : "pulse";
  const all = [...root.querySelectorAll(`.ribbon.${kind} .labelled`)];
  const next = all[all.indexOf(here) + direction];
  if (!next) return;
  here.setAttribute("tabindex", "-1");
  next.setAttribute("tabindex", "0");
  next.focus();
}
