// The list of remarks: adding one at the current bar, putting them in order, keeping time and bars together.

const MOST = 100; // as many as the studio stores
const BEFORE_S = 4; // one writes a remark a little after what it is about
const AFTER_S = 2;

export class Remarks {
  constructor(form, take) {
    this.form = form;
    this.take = take;
    this.list = form.querySelector("#remarks");
    this.template = form.querySelector("#new-remark");
    this.added = 0;
    for (const row of this.rows()) this.ready(row);
    this.list.addEventListener("input", (event) => {
      if (event.target.dataset.field !== "text") return;
      fit(event.target);
      this.rewritten(event.target);
      this.sum(event.target.closest(".remark"));
    });
    // A folded text has no height; the event does not bubble.
    this.list.addEventListener("toggle", (event) => fit(this.field(event.target.closest(".remark"), "text")), true);
    this.list.addEventListener("click", (event) => this.move(event.target.closest("[data-move]")));
    this.list.addEventListener("change", (event) => this.follow(event.target));
  }

  rows() {
    return [...this.list.querySelectorAll(":scope > .remark")];
  }

  field(row, name) {
    return row.querySelector(`[data-field="${name}"]`);
  }

  collect() {
    return this.rows().map((row) => ({
      id: this.field(row, "id").value || null,
      text: this.field(row, "text").value,
      bars: this.field(row, "bars").value,
      start_s: this.field(row, "start_s").value || null,
      end_s: this.field(row, "end_s").value || null,
      verdict: this.verdict(row),
    }));
  }

  // Put remarks kept in the browser back, in their order; drafted ones are found by their id.
  fill(kept) {
    for (const remark of kept) {
      const known = this.rows().find((row) => remark.id && this.field(row, "id").value === String(remark.id));
      const row = known ?? this.append();
      for (const name of ["text", "bars", "start_s", "end_s"]) this.field(row, name).value = remark[name] ?? "";
      this.judge(row, remark.verdict);
      this.list.append(row);
      this.ready(row);
    }
  }

  // "kept", "dropped", "wrong:" with its reason, or "" while it is a proposal nobody has looked at.
  verdict(row) {
    return row.querySelector('[data-field="verdict"]:checked')?.value ?? "";
  }

  judge(row, verdict) {
    for (const choice of row.querySelectorAll('[data-field="verdict"]')) choice.checked = choice.value === verdict;
    const wrong = row.querySelector(".wrong");
    if (wrong) wrong.open = Boolean(verdict?.startsWith("wrong"));
  }

  // The same by the person's own hand, which is then stored.
  decide(row, verdict) {
    this.judge(row, verdict);
    this.form.dispatchEvent(new Event("change"));
  }

  proposals() {
    return this.rows().filter((row) => !this.verdict(row));
  }

  keepAll() {
    for (const row of this.proposals()) this.judge(row, "kept");
    this.form.dispatchEvent(new Event("change"));
  }

  // Who rewrites a proposal means to send it.
  rewritten(area) {
    const row = area.closest(".remark");
    if (!this.verdict(row)) this.judge(row, "kept");
  }

  // The line that stands for the remark while it is folded.
  sum(row) {
    const gist = row.querySelector(".gist");
    gist.textContent = this.field(row, "text").value.trim() || gist.dataset.new;
  }

  setId(row, id) {
    this.field(row, "id").value = id ?? "";
  }

  append() {
    const row = this.template.content.querySelector(".remark").cloneNode(true);
    this.added += 1;
    const own = (name) => name.replace("-own-", `-added${this.added}-`);
    for (const input of row.querySelectorAll("[name]")) input.name = own(input.name);
    const gist = row.querySelector(".gist");
    gist.id = own(gist.id);
    row.setAttribute("aria-labelledby", gist.id);
    row.querySelector("[name=remark]").value = `added${this.added}`;
    this.list.append(row);
    this.ready(row);
    return row;
  }

  // At the bar that sounds; in a take without measured bars at the moment that was reached.
  addAt(bar, now) {
    if (this.rows().length >= MOST) return;
    const row = this.append();
    this.field(row, "bars").value = bar?.bar ?? "";
    this.field(row, "start_s").value = bar?.start_s ?? Math.max(0, now - BEFORE_S).toFixed(1);
    this.field(row, "end_s").value = bar?.end_s ?? (now + AFTER_S).toFixed(1);
    this.ready(row);
    this.field(row, "text").focus();
  }

  ready(row) {
    row.querySelector(".remark-order").hidden = false;
    const button = row.querySelector("[data-hear]");
    const [start, end] = ["start_s", "end_s"].map((name) => this.field(row, name).value);
    button.hidden = !start;
    // Bars changed by hand have the sound of their own; as drafted, each place of the finding is heard.
    if (start && (start !== button.dataset.start || end !== button.dataset.end))
      button.dataset.hear = JSON.stringify([[Number(start), Number(end)]]);
    fit(this.field(row, "text"));
    this.sum(row);
  }

  // Bars changed by hand: the remark's sound is that of the first and last bar named.
  follow(input) {
    if (input.dataset.field !== "bars") return;
    const row = input.closest(".remark");
    const named = input.value.split(/[-–,\s]+/).filter(Boolean);
    const first = this.take.barNamed(named[0]);
    const last = this.take.barNamed(named.at(-1), first);
    this.field(row, "start_s").value = first?.start_s ?? "";
    this.field(row, "end_s").value = last?.end_s ?? first?.end_s ?? "";
    this.ready(row);
  }

  move(button) {
    if (!button) return;
    const row = button.closest(".remark");
    const other = button.dataset.move === "-1" ? row.previousElementSibling : row.nextElementSibling;
    if (!other?.classList.contains("remark")) return;
    if (button.dataset.move === "-1") other.before(row);
    else other.after(row);
    button.focus();
    this.form.dispatchEvent(new Event("change"));
  }
}

// All of a remark is to be seen without scrolling in it.
function fit(area) {
  area.style.height = "auto";
  area.style.height = `${area.scrollHeight + 2}px`;
}
