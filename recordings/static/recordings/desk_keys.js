// The desk by keyboard: plain keys where no text is written, with Alt wherever the cursor stands.
// Keys that came before the desk was ready were kept by desk_early.js and are pressed now.

const PLAIN_OFF = "desk-plain-keys-off";
const KEYS = {
  " ": "play", p: "play", b: "back", arrowleft: "barBefore", arrowright: "barAfter",
  f: "next", "shift+f": "before", h: "hear", k: "keep", x: "leaveOut", enter: "open", a: "add",
  o: "former", c: "correct", s: "phrases", w: "words", m: "marks", r: "release", "?": "sheet",
}; // prettier-ignore
const MAY_REPEAT = new Set(["back", "barBefore", "barAfter", "next", "before"]);
const WRITTEN_IN = "textarea, select, input:not([type=checkbox], [type=radio], [type=range], [type=number])";
const NUMBER = "input[type=number]";
// What these do with space, enter and arrows by themselves stays theirs.
const ACTS_BY_ITSELF = "button, summary, a, input, [role=tab], .ribbon";

export class DeskKeys {
  constructor(actions, sheet) {
    this.actions = actions;
    this.sheet = sheet;
  }

  listen(signal) {
    const choice = this.sheet.querySelector("#plain-keys");
    choice.checked = !this.plainOff;
    choice.addEventListener("change", () => localStorage.setItem(PLAIN_OFF, choice.checked ? "" : "yes"));
    this.sheet.querySelector("button").addEventListener("click", () => this.sheet.close());
    document.getElementById("show-keys").addEventListener("click", () => this.actions.sheet());
    document.addEventListener("keydown", heldEnter, { signal, capture: true });
    document.addEventListener("keydown", (event) => this.pressed(event), { signal });
  }

  get plainOff() {
    return localStorage.getItem(PLAIN_OFF) === "yes";
  }

  pressed(event) {
    if (event.defaultPrevented || document.querySelector("dialog[open]")) return;
    const done = event.altKey ? this.withAlt(event) : this.plain(event);
    if (done) event.preventDefault();
  }

  withAlt(event) {
    const key = letterOf(event);
    return key !== null && this.act(key, event);
  }

  plain(event) {
    if (event.ctrlKey || event.metaKey || event.target.closest(WRITTEN_IN)) return false;
    const key = named(event.key, event.shiftKey);
    if (key.length > 1 && event.target.closest(ACTS_BY_ITSELF) && key !== "shift+f") return false;
    if (key === " " && event.target.closest(ACTS_BY_ITSELF) && !event.target.closest(`${NUMBER}, .ribbon`)) return false;
    if (this.plainOff && /^[a-z]$|^shift\+f$|^\d$/.test(key)) return false;
    if (/^\d$/.test(key)) return !event.target.closest(NUMBER) && this.actions.digit(key);
    return this.act(key, event);
  }

  act(key, event) {
    const name = KEYS[key];
    if (!name || !this.actions[name]) return false;
    if (!event.repeat || MAY_REPEAT.has(name)) this.actions[name]();
    return true;
  }
}

// An Enter held too long must not run from the last mark through the question to the release.
function heldEnter(event) {
  if (event.key !== "Enter" || !event.repeat || event.target.closest("textarea")) return;
  event.preventDefault();
  event.stopPropagation();
}

function named(key, shift) {
  const small = key.toLowerCase();
  return shift && small === "f" ? "shift+f" : small;
}

// With Alt some keyboards write signs of their own: the key's place tells the letter then.
function letterOf(event) {
  if (event.ctrlKey || event.metaKey || event.getModifierState("AltGraph")) return null;
  const letter = /^[a-z]$/i.test(event.key) ? event.key : /^Key([A-Z])$/.exec(event.code)?.[1];
  return letter ? named(letter, event.shiftKey) : null;
}
