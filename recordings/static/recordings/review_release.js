// Releasing: first everything typed reaches the studio, then every caption must have its mark, then one question.

import { freshenToken } from "./review_draft.js";
import { fill } from "./ribbons.js";

export function setUpRelease(form, draft) {
  const dialog = document.getElementById("release-dialog");
  document.getElementById("release").addEventListener("click", async (event) => {
    event.preventDefault();
    if (!everyMarkThere(form, draft)) return;
    if (!(await draft.saveBefore()) || form.querySelector("input[data-caption][aria-invalid]")) return;
    document.getElementById("release-marks").textContent = marksInWords(form);
    listRemarks(document.getElementById("release-remarks"), draft.remarks);
    freshenToken(dialog.querySelector("form"));
    dialog.querySelector("[role=alert]").hidden = true;
    dialog.showModal();
  });
  document.getElementById("release-not-yet").addEventListener("click", () => dialog.close());
  setUpAgain(form, draft);
}

// Asking for another recording: the words typed up to this moment go along.
function setUpAgain(form, draft) {
  const button = document.getElementById("ask-again");
  button.addEventListener("click", async (event) => {
    if (draft.isStored) return freshenToken(form);
    event.preventDefault();
    if (await draft.saveBefore()) button.click();
  });
}

function markInputs(form) {
  return [...form.querySelectorAll("input[data-caption]")];
}

function everyMarkThere(form, draft) {
  const empty = markInputs(form).filter((input) => !input.value);
  for (const input of empty) draft.showError(input, missing(input, draft.say));
  empty[0]?.focus();
  return !empty.length;
}

// What will be sent, word for word, and how many proposals stay behind.
function listRemarks(place, remarks) {
  const sent = remarks.collect().filter((remark) => remark.verdict === "kept" && remark.text.trim());
  const list = document.createElement("ol");
  for (const remark of sent) list.append(Object.assign(document.createElement("li"), { textContent: remark.text }));
  const left = remarks.proposals().length;
  const say = place.dataset;
  place.replaceChildren(sent.length ? list : paragraph(say.none));
  if (left) place.append(paragraph(left === 1 ? say.openOne : fill(say.open, { n: left })));
}

function paragraph(words) {
  return Object.assign(document.createElement("p"), { textContent: words });
}

function missing(input, say) {
  return input.validity.badInput ? say.number : fill(say.mark, { caption: input.dataset.name });
}

function marksInWords(form) {
  return markInputs(form)
    .map((input) => `${input.dataset.name} ${input.value}`)
    .join(", ");
}
