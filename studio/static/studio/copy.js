// A button that copies a field; where the browser keeps the clipboard to itself, the field is marked for copying.
const button = document.querySelector("button[data-copy]");

async function copy() {
  const field = document.getElementById(button.dataset.copy);
  const status = button.parentElement.querySelector("[role=status]");
  field.focus();
  field.select();
  try {
    await navigator.clipboard.writeText(field.value);
    status.textContent = button.dataset.done;
  } catch {
    status.textContent = button.dataset.byHand;
  }
}

if (button) {
  button.hidden = false;
  button.addEventListener("click", copy);
}
