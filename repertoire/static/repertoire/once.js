// A form is sent once: while it is under way its button waits.
for (const form of document.querySelectorAll("form[data-once]")) {
  form.addEventListener("submit", () => {
    for (const button of form.querySelectorAll("button:not([type=button])")) button.disabled = true;
  });
}
// Coming back by the browser's back button shows the page as it was left: let it be sent again.
addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  for (const button of document.querySelectorAll("form[data-once] button")) button.disabled = false;
});
