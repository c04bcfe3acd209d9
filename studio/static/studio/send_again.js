// Sends a form that met an outage once more by itself; without this file its button does.
const form = document.querySelector("form[data-again-s]");
if (form) setTimeout(() => form.requestSubmit(), Number(form.dataset.againS) * 1000);
