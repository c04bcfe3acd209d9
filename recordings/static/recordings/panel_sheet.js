// A listener's sheet: every change is sent at once, and again until it has arrived.
import { csrfToken } from "../studio/csrf.js";

const WAIT_MS = 600; // after the last key
const AGAIN_MS = 5000;

const form = document.querySelector("#panel-form");
const state = form.querySelector("#save-state");
// Beside the form there is room for it; on a phone it would push the marks away.
document.querySelector(".panel-music").open = matchMedia("(min-width: 60rem)").matches;

let dirty = false;
let timer = null;
let sending = false;

form.addEventListener("input", () => {
  dirty = true;
  soon(WAIT_MS);
});
addEventListener("online", () => dirty && soon(0));
addEventListener("beforeunload", (event) => {
  if (dirty) event.preventDefault();
});
form.addEventListener("submit", () => {
  dirty = false;
  clearTimeout(timer);
});

function soon(milliseconds) {
  clearTimeout(timer);
  timer = setTimeout(save, milliseconds);
}

async function save() {
  if (sending) return soon(WAIT_MS);
  sending = true;
  dirty = false;
  state.textContent = form.dataset.saving;
  try {
    const answer = await fetch(location.pathname, {
      method: "POST",
      body: written(),
      headers: { Accept: "application/json", "X-CSRFToken": csrfToken() },
    });
    await told(answer);
  } catch {
    again(form.dataset.offline);
  } finally {
    sending = false;
  }
}

// A number field that holds no number sends nothing, which would take the mark away.
function written() {
  const data = new FormData(form);
  for (const input of unreadable()) data.delete(input.name);
  return data;
}

function unreadable() {
  return [...form.querySelectorAll("input[type=number]")].filter((input) => input.validity.badInput);
}

async function told(answer) {
  const isJson = answer.headers.get("Content-Type")?.startsWith("application/json");
  if (answer.redirected || answer.status === 403) return again(form.dataset.signedOut);
  if (!isJson) return again(form.dataset.offline);
  const said = await answer.json();
  if (answer.status === 409) {
    state.textContent = said.closed;
    return;
  }
  for (const input of unreadable()) said.errors[input.name.replace("mark-", "")] = form.dataset.number;
  show(said.errors);
  const wrong = Object.keys(said.errors).length > 0;
  if (!dirty) state.textContent = wrong ? form.dataset.wrong : `${form.dataset.saved} ${said.saved_at}`;
}

function again(words) {
  dirty = true;
  state.textContent = words;
  soon(AGAIN_MS);
}

function show(errors) {
  for (const input of form.querySelectorAll("input[type=number]")) {
    const words = errors[input.name.replace("mark-", "")] ?? "";
    const place = document.getElementById(`${input.name}-error`);
    place.textContent = words;
    place.hidden = !words;
    input.toggleAttribute("aria-invalid", Boolean(words));
  }
}
