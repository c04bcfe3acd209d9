// Puts the chosen recordings on their way; what the recorder kept goes the same way.
import { Outgoing } from "./outgoing.js";
import { RecordStore } from "./record_store.js";

// From the first moment: what is pressed while the device is still being asked waits for it.
function choose(form, opening) {
  const field = form.querySelector("input[type=file]");
  const errorLine = form.querySelector("#sound-error");
  const { beginAt, title } = form.dataset;
  field.multiple = true;

  function refuse(sentence) {
    errorLine.textContent = sentence;
    errorLine.hidden = !sentence;
    field.toggleAttribute("aria-invalid", Boolean(sentence));
  }

  const tooLarge = () => [...field.files].some((file) => file.size > Number(form.dataset.maxMb) * 1e6);
  const add = async (file, recording) => (await opening).add({ file, name: file.name, beginAt, title, recording });

  field.addEventListener("change", () => refuse(tooLarge() ? form.dataset.tooLarge : ""));
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (tooLarge()) return refuse(form.dataset.tooLarge);
    refuse("");
    const files = [...field.files];
    for (const file of files) await add(file);
    field.value = "";
  });
  form.addEventListener("recorded", (event) => add(event.detail.file, event.detail.id));

  // Beside the field where it was chosen here; on any other page its own line says it.
  opening.then((outgoing) => outgoing.addEventListener("will-not-do", async ({ detail: item }) => {
    if (item.beginAt !== beginAt) return;
    await outgoing.drop(item);
    refuse(item.sentence);
  }));
}

function lookAfter(form, outgoing) {
  outgoing.addEventListener("arrived", (event) => {
    const { item, isLast, wait } = event.detail;
    const put = item.recording ? RecordStore.open().then((store) => store.discard(item.recording)) : Promise.resolve();
    const waits = item.isNew && isLast && item.beginAt === form?.dataset.beginAt && outgoing.items.length === 1;
    // Nobody is taken away from what they record.
    const isRecording = Boolean(document.querySelector("[data-recorder][data-busy]"));
    wait(put.finally(() => {
      if (waits && !isRecording) window.location.assign(item.page);
      else form?.dispatchEvent(new CustomEvent("take-arrived"));
    }));
  });
}

const handIn = document.querySelector("[data-hand-in]");
const section = document.querySelector("[data-outgoing]");
if (section) {
  const opening = Outgoing.open(section);
  if (handIn) choose(handIn, opening);
  const outgoing = await opening;
  lookAfter(handIn, outgoing);
  outgoing.work();
}
