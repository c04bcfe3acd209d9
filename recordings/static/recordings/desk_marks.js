// Marks by keyboard: straight to the first that is missing, Enter to the next, after the last to the release.

export class MarkFields {
  constructor(desk, tabs) {
    this.tabs = tabs;
    this.release = desk.querySelector("#release");
    this.fields = [...desk.querySelectorAll("input[data-caption]")];
    for (const field of this.fields) field.addEventListener("keydown", (event) => this.pressed(event, field));
    desk.addEventListener("focusout", (event) => event.target.closest(".mark")?.classList.remove("hushed"));
  }

  go() {
    const field = this.fields.find((one) => !one.value) ?? this.fields[0];
    if (!field) return;
    this.tabs.reveal(field);
    // The browser would scroll the page for a field that stands in the bar and is seen already.
    field.focus({ preventScroll: true });
    field.select();
    const { top, bottom } = field.getBoundingClientRect();
    if (top < 0 || bottom > innerHeight) field.scrollIntoView({ block: "center" });
  }

  // A figure typed anywhere begins the first mark that is missing.
  begin(figure) {
    const field = this.fields.find((one) => !one.value);
    if (!field) return false;
    this.go();
    field.value = figure;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    return true;
  }

  pressed(event, field) {
    if (event.key === "Escape") field.closest(".mark").classList.add("hushed");
    else if (event.key === "Enter") (this.fields[this.fields.indexOf(field) + 1] ?? this.release).focus();
    else return;
    event.preventDefault();
  }
}
