// Shows the bars asked for while the form is filled in; without this script the "Show" button does the same.
const form = document.querySelector("form[data-preview]");
const WAIT_MS = 350;
let waiting;
let latest = 0;

async function show() {
  const mine = ++latest;
  const fields = new FormData(form);
  fields.set("show", "1");
  fields.set("width", String(document.getElementById(form.dataset.preview).clientWidth - 40));
  const answer = await fetch(location.href, { method: "POST", body: fields, credentials: "same-origin" });
  const againS = Number(answer.headers.get("Retry-After")); // long music is still being drawn
  if (answer.status === 503 && againS) setTimeout(() => mine === latest && show().catch(() => {}), againS * 1000);
  if (!answer.ok || answer.redirected || mine !== latest) return;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = page.getElementById(form.dataset.preview);
  if (fresh) document.getElementById(form.dataset.preview).replaceWith(document.importNode(fresh, true));
}

form?.addEventListener("input", () => {
  clearTimeout(waiting);
  waiting = setTimeout(() => show().catch(() => {}), WAIT_MS);
});
