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
  const status = sending.querySelector("[data-status]");
  const button = form.querySelector("[data-send]");
  let lastTenth = -1;

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
      status.textContent = form.dataset.arrived;
    } else if (Math.floor(percent / 10) !== lastTenth) {
      lastTenth = Math.floor(percent / 10);
      status.textContent = `${percent} % ${form.dataset.sent}`;
    }
  }

  function retry(sentence) {
    refuse(sentence);
    button.textContent = form.dataset.again;
  }

  // Who keeps a copy of the file may put it away first.
  async function leave(page) {
    const waited = [];
    form.dispatchEvent(new CustomEvent("take-arrived", { detail: { wait: (work) => waited.push(work) } }));
    await Promise.allSettled(waited);
    window.location.assign(page);
  }

  function answer(request) {
    let content = null;
    try {
      content = JSON.parse(request.responseText);
    } catch {
      // An error page or the sign-in page: nothing was stored.
    }
    if (content?.page) {
      leave(content.page);
    } else if (content?.error) {
      refuse(content.error);
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
    lastTenth = -1;
    bar.value = 0;
    status.textContent = "";
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
