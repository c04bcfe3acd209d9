// Going through the findings one by one: which remark is looked at now, hearing it, and what becomes of it.

export class Findings {
  constructor(remarks, tabs, says) {
    Object.assign(this, { remarks, tabs, says, now: null });
    remarks.list.addEventListener("focusin", (event) => this.mark(event.target.closest(".remark")));
    remarks.list.addEventListener("keydown", (event) => this.folds(event));
  }

  mark(row) {
    this.now?.removeAttribute("aria-current");
    this.now = row;
    row.setAttribute("aria-current", "true");
  }

  go(direction) {
    const rows = this.remarks.rows();
    const at = rows.indexOf(this.now);
    const row = at < 0 ? rows.at(direction > 0 ? 0 : -1) : (rows[at + direction] ?? rows[at]);
    if (row) this.look(row);
    else this.tell(this.says.dataset.none);
  }

  look(row) {
    this.tabs.reveal(row);
    row.focus();
  }

  // Nothing is decided unread: without a remark that is looked at, the first is only brought up.
  judge(verdict) {
    const row = this.now?.isConnected ? this.now : null;
    if (!row) return this.go(1);
    this.remarks.decide(row, verdict);
    this.tell(this.says.dataset[verdict]);
    const rows = this.remarks.rows();
    this.look(rows.slice(rows.indexOf(row) + 1).find((later) => !this.remarks.verdict(later)) ?? row);
  }

  hear() {
    if (!this.now) this.go(1);
    this.now?.querySelector(".hear:not([hidden])")?.click();
  }

  open() {
    if (!this.now) return;
    this.now.querySelector("details").open = true;
    this.remarks.field(this.now, "text").focus();
  }

  // Escape leaves what is written in and goes back to the line, folded.
  folds(event) {
    const row = event.target.closest(".remark");
    if (event.key !== "Escape" || event.target === row) return;
    row.querySelector("details").open = false;
    row.focus();
  }

  tell(words) {
    this.says.textContent = words;
  }
}
