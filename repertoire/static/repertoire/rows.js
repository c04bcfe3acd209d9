// Rows of a form set: spare rows fold away behind a button that shows one more at a time.
for (const form of document.querySelectorAll("form[data-rows]")) {
  const prefix = form.dataset.rows;
  const list = form.querySelector("[data-list]");
  const blank = form.querySelector("[data-blank]");
  const total = form.querySelector(`[name="${prefix}-TOTAL_FORMS"]`);
  const add = form.querySelector("[data-add]");
  const spare = [...list.querySelectorAll("[data-spare]")];
  const firstOfAll = list.querySelectorAll("[data-row]").length === spare.length;
  spare.forEach((row, place) => { row.hidden = !(firstOfAll && place === 0); });
  add.hidden = false;

  add.addEventListener("click", () => {
    let row = spare.find((candidate) => candidate.hidden);
    if (row) {
      row.hidden = false;
    } else {
      const holder = document.createElement("template");
      holder.innerHTML = blank.innerHTML.replaceAll("__prefix__", total.value);
      row = holder.content.querySelector("[data-row]");
      list.append(row);
      total.value = String(Number(total.value) + 1);
    }
    row.querySelector("input:not([type=hidden])").focus();
  });
}
