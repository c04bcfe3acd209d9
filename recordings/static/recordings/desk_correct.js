// Setting the measurement right at the desk: times taken from the sound, bar lines dragged, the form sent without
// leaving the page. When the take is measured again its page takes this one's place.

import { BarStrip } from "./bar_strip.js";
import { freshenToken } from "./review_draft.js";

const ASK_AGAIN_MS = 250;
// What was called wrong, and the field that mends it.
const MENDED_BY = {
  "wrong:note_was_right": "[name=right]",
  "wrong:bars_misplaced": ".strip-lines [role=slider]",
  "wrong:other_form": "[name=order]",
};
const PATIENCE_MS = 120_000;
const pause = (ms) => new Promise((go) => setTimeout(go, ms));

export const clockText = (seconds) => {
  const hundredths = Math.round(seconds * 100);
  const rest = hundredths % 6000;
  return `${Math.floor(hundredths / 6000)}:${String(Math.floor(rest / 100)).padStart(2, "0")}.${String(rest % 100).padStart(2, "0")}`;
};

export class Correction {
  constructor(details, music, draft, tabs) {
    Object.assign(this, { details, music, draft, tabs });
    this.form = details.querySelector("form");
    this.says = details.querySelector("#correct-says");
    for (const button of this.form.querySelectorAll(".here")) {
      button.hidden = false;
      button.addEventListener("click", () => this.here(button));
    }
    this.form.order.addEventListener("change", () => this.showLine());
    this.showLine();
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.send(event.submitter);
    });
    this.setUpStrip();
    draft.remarks.list.addEventListener("click", (event) => {
      if (event.target.closest(".mend")) this.open(MENDED_BY[draft.remarks.verdict(event.target.closest(".remark"))]);
    });
  }

  open(field = "[name=order]") {
    this.tabs.reveal(this.music.score.root);
    this.details.open = true;
    this.showStrip();
    const place = this.form.querySelector(field) ?? this.form.order;
    place.scrollIntoView({ block: "nearest" });
    place.focus();
  }

  // The line of one's own is asked for only where it is chosen.
  showLine() {
    this.form.order_line.hidden = this.form.order.value !== "other";
  }

  here(button) {
    const field = button.parentElement.querySelector(`[name=${button.dataset.for}]`);
    field.value = clockText(this.music.player.own.audio.currentTime);
    field.focus();
  }

  setUpStrip() {
    const place = this.form.querySelector("#bar-strip");
    if (!place || !this.music.take.bars.length) return;
    this.strip = new BarStrip(place, this.music, (bar, seconds) => this.put(bar, seconds));
    this.form.querySelector("#strip-help").hidden = false;
    this.details.addEventListener("toggle", () => this.showStrip());
    this.showStrip();
  }

  // It has a size to be drawn in only while it is open; keys that stand in it already are not taken out of it.
  showStrip() {
    if (!this.strip) return;
    this.strip.place.hidden = !this.details.open;
    if (this.details.open && !this.strip.place.contains(document.activeElement)) this.strip.draw();
  }

  // The line of a bar that was moved: changed where it is written already, else added.
  put(bar, seconds) {
    const value = `${bar.measure}|${bar.pass}`;
    const rows = this.form.querySelector("#correct-lines");
    let row = [...rows.children].find((one) => one.querySelector("[name=line]").value === value);
    if (!row) {
      row = this.newRow(value);
      rows.append(row);
    }
    row.querySelector("[name=line_at]").value = clockText(seconds);
  }

  newRow(value) {
    const sample = this.form.querySelector("#another-line");
    const label = [...sample.options].find((option) => option.value === value)?.text ?? "";
    const row = document.createElement("p");
    row.className = "row line-row";
    const hidden = Object.assign(document.createElement("input"), { type: "hidden", name: "line", value });
    const words = document.createElement("label");
    const field = Object.assign(document.createElement("input"), { name: "line_at", size: 7, inputMode: "decimal" });
    words.append(this.form.querySelector("#bar-strip").dataset.line.replace("{bar}", label), " ", field);
    row.append(hidden, words);
    return row;
  }

  async send(submitter) {
    if (!(await this.draft.saveBefore())) return;
    freshenToken(this.form);
    const body = new FormData(this.form, submitter);
    this.busy(true);
    try {
      const answer = await fetch(this.form.action, {
        method: "POST", body, headers: { Accept: "application/json" }, credentials: "same-origin",
      }); // prettier-ignore
      if (answer.ok) await this.measured();
      else this.showErrors((await answer.json()).errors);
    } catch {
      this.says.textContent = this.form.dataset.failed;
      this.busy(false);
    }
  }

  async measured() {
    const until = Date.now() + PATIENCE_MS;
    while (Date.now() < until) {
      const answer = await fetch(this.form.dataset.review, { credentials: "same-origin" });
      const html = await answer.text();
      if (answer.ok && html.includes('id="review-form"')) {
        dispatchEvent(new CustomEvent("desk-measured", { detail: { answer, html } }));
        return;
      }
      await pause(ASK_AGAIN_MS);
    }
    location.reload();
  }

  // What is written meanwhile would be written on the draft of before.
  busy(yes) {
    if (yes) this.says.textContent = this.form.dataset.measuring;
    document.querySelector("main").inert = yes;
    dispatchEvent(new Event(yes ? "desk-waits" : "desk-ready"));
  }

  showErrors(errors) {
    this.busy(false);
    this.says.textContent = "";
    for (const place of this.form.querySelectorAll("[data-error]")) {
      const words = errors[place.dataset.error] ?? "";
      place.textContent = words;
      place.hidden = !words;
    }
    this.form.querySelector("[data-error]:not([hidden])")?.scrollIntoView({ block: "nearest" });
  }
}
