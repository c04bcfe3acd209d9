// Sends the chosen recording with its progress shown; the file stays chosen whatever happens.
import { csrfToken } from "../studio/csrf.js";

function contentOf(form, request) {
  const content = new FormData(form);
  request.setRequestHeader("X-CSRFToken", csrfToken());
  content.delete("csrfmiddlewaretoken");
  return content;
}

function start(form) {
  const field = form.querySelector("input[type=file]");
  const errorLine = form.querySelector("#sound-error");
  const sending = form.querySelector("[data-sending]");
  const bar = sending.querySelector("progress");
  const told = sending.querySelector("[data-told]");
  const button = form.querySelector("[data-send]");
  let lastTold = -1;

  function refuse(sentence) {
    sending.hidden = true;
    button.disabled = false;
    errorLine.textContent = sentence;
    errorLine.hidden = !sentence;
    field.toggleAttribute("aria-invalid", Boolean(sentence));
  }

  function tooLarge() {
    const file = field.files[0];
    return Boolean(file) && file.size > Number(form.dataset.maxMb) * 1e6;
  }

  function show(event) {
    const percent = Math.floor((event.loaded / event.total) * 100);
    bar.value = percent;
    // A screen reader hears every tenth percent only.
    if (event.loaded === event.total) {
      told.textContent = form.dataset.arrived;
    } else if (Math.floor(percent / 10) !== lastTold) {
      lastTold = Math.floor(percent / 10);
      told.textContent = `${percent} % ${form.dataset.sent}`;
    }
  }

  function retry(sentence) {
    refuse(sentence);
    button.textContent = form.dataset.again;
  }

  function answer(request) {
    let said = null;
    try {
      said = JSON.parse(request.responseText);
    } catch {
      // An error page or the sign-in page: nothing was stored.
    }
    if (said?.page) {
      window.location.assign(said.page);
    } else if (said?.error) {
      refuse(said.error);
    } else if (request.responseURL !== form.action) {
      retry(form.dataset.signedOut);
    } else {
      retry(form.dataset.lost);
    }
  }

  function send() {
    const request = new XMLHttpRequest();
    request.open("POST", form.action);
    request.setRequestHeader("Accept", "application/json");
    request.upload.addEventListener("progress", show);
    request.addEventListener("load", () => answer(request));
    request.addEventListener("error", () => retry(form.dataset.lost));
    request.addEventListener("timeout", () => retry(form.dataset.lost));
    refuse("");
    lastTold = -1;
    bar.value = 0;
    told.textContent = "";
    sending.hidden = false;
    button.disabled = true;
    request.send(contentOf(form, request));
  }

  field.addEventListener("change", () => refuse(tooLarge() ? form.dataset.tooLarge : ""));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (tooLarge()) refuse(form.dataset.tooLarge);
    else send();
  });
}

const handIn = document.querySelector("[data-hand-in]");
if (handIn) start(handIn);
