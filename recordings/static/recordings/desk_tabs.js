// On a narrow screen the desk shows one of its parts at a time: the music, the remarks or the marks.
// Sends "shown" when another part comes to be seen.

const NARROW = "(max-width: 59.99rem)"; // as in desk.css

export class DeskTabs extends EventTarget {
  constructor(desk, signal) {
    super();
    this.list = desk.querySelector("[role=tablist]");
    this.tabs = [...this.list.querySelectorAll("[role=tab]")];
    for (const tab of this.tabs) tab.addEventListener("click", () => this.show(tab));
    this.list.addEventListener("keydown", (event) => this.walk(event));
    this.narrow = matchMedia(NARROW);
    this.narrow.addEventListener("change", () => this.arrange(), { signal });
    const wrong = desk.querySelector("[aria-invalid=true]");
    this.now = (wrong && this.tabOf(wrong)) ?? this.tabs[0];
    this.arrange();
  }

  part(tab) {
    return document.getElementById(tab.getAttribute("aria-controls"));
  }

  tabOf(element) {
    return this.tabs.find((tab) => this.part(tab).contains(element));
  }

  // Whatever is to be looked at or written in has to be on the part that is shown.
  reveal(element) {
    const tab = this.tabOf(element);
    if (tab && tab !== this.now) this.show(tab);
  }

  show(tab) {
    this.now = tab;
    this.arrange();
    this.dispatchEvent(new Event("shown"));
  }

  arrange() {
    this.list.hidden = !this.narrow.matches;
    for (const tab of this.tabs) {
      const isNow = tab === this.now;
      const part = this.part(tab);
      tab.setAttribute("aria-selected", String(isNow));
      tab.tabIndex = isNow ? 0 : -1;
      part.hidden = this.narrow.matches && !isNow;
      if (this.narrow.matches) part.setAttribute("role", "tabpanel");
      else part.removeAttribute("role");
    }
  }

  walk(event) {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    const next = this.tabs.at((this.tabs.indexOf(this.now) + step) % this.tabs.length);
    this.show(next);
    next.focus();
    event.preventDefault();
  }
}
