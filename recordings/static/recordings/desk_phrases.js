// Words offered for a remark: opened at it, taken by one press. They take the place of the drafted sentence; what the
// teacher has written stays, and they come behind it.

export class Phrases {
  constructor(remarks, findings) {
    Object.assign(this, { remarks, findings });
    this.offers = JSON.parse(document.getElementById("phrase-data").textContent);
    this.drafted = new Map(remarks.rows().map((row) => [row, this.text(row).value]));
    remarks.list.addEventListener("toggle", (event) => this.toggled(event.target), true);
    remarks.list.addEventListener("click", (event) => {
      const button = event.target.closest(".phrases button");
      if (button) this.take(button);
    });
  }

  text(row) {
    return this.remarks.field(row, "text");
  }

  of(row) {
    return this.offers[row.dataset.key] ?? this.offers.own;
  }

  // Once a remark is open its phrases can be; the list is written when it is asked for, with the bars of now.
  toggled(details) {
    const row = details.closest(".remark");
    if (details.classList.contains("remark-open")) details.querySelector(".phrases").hidden = !this.of(row).length;
    else if (details.classList.contains("phrases") && details.open) this.list(details, row);
  }

  list(details, row) {
    const list = details.querySelector("ul");
    // The event of opening comes late: by then the keys may stand in the list.
    if (list.contains(document.activeElement)) return;
    const lines = this.of(row).map((words) => {
      const line = document.createElement("li");
      const button = document.createElement("button");
      Object.assign(button, { type: "button", className: "plain", textContent: this.filled(words, row) });
      line.append(button);
      return line;
    });
    list.replaceChildren(...lines);
  }

  filled(words, row) {
    const bars = this.remarks.field(row, "bars").value.trim();
    const { bar, bars: several } = this.remarks.list.dataset;
    const named = bars && (/^[\p{L}\d]+$/u.test(bars) ? bar : several).replace("{bars}", bars);
    const text = words.replaceAll("{bars}", named).replace(/\s+/g, " ").trim();
    return text.charAt(0).toUpperCase() + text.slice(1);
  }

  open() {
    const row = this.findings.now;
    if (!row?.isConnected || !this.of(row).length) return;
    row.querySelector(".remark-open").open = true;
    const details = row.querySelector(".phrases");
    details.hidden = false;
    details.open = true;
    this.list(details, row);
    details.scrollIntoView({ block: "nearest" });
    details.querySelector("button").focus();
  }

  take(button) {
    const row = button.closest(".remark");
    const area = this.text(row);
    const untouched = !area.value.trim() || area.value === this.drafted.get(row);
    area.value = untouched ? button.textContent : `${area.value.trimEnd()} ${button.textContent}`;
    area.dispatchEvent(new Event("input", { bubbles: true }));
    area.focus();
  }
}
