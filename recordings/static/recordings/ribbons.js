// The ribbons under the staves: pitch (a tick a note) and pulse (the tempo bar by bar), as SVG layers
// beside the engraving, placed by its noteheads and bars. Meaning is in direction, shape and words.

import { shape } from "./review_score.js";

export const HEIGHT_PX = { pitch: 58, pulse: 42 };
const BETWEEN_PX = 6;
const EDGE_CENTS = 40; // ticks beyond end in an arrow
const BAND_SHARE = 0.45; // of the pulse ribbon's height for the wider side of the accepted range
const LEAST_REACH = 0.15; // a very narrow range does not blow small changes up: at least 15 % either way
const TICK_PX = 3.6;
const LABEL_PX = 11;
const NAME_PX = 26;
const SURE = 0.5;

export function roomFor(shown) {
  const kinds = Object.keys(HEIGHT_PX).filter((kind) => shown[kind]);
  return kinds.reduce((sum, kind) => sum + HEIGHT_PX[kind], 0) + BETWEEN_PX * Math.max(0, kinds.length - 1);
}

export function fill(template, values) {
  return template.replace(/\{(\w+)\}/g, (_, name) => values[name] ?? "");
}

export class Ribbons {
  constructor(score, take, words) {
    Object.assign(this, { score, take, words });
  }

  // Draw what is `shown` for the bars' chosen passes (`barFor(measureId)` gives the played bar or null).
  draw(shown, barFor) {
    for (const old of this.score.root.querySelectorAll(".ribbon")) old.remove();
    const asked = new Set(this.take.bars.length ? this.take.asked : []);
    for (const system of this.score.systems) system.stretches = stretchesOf(system.bars, asked);
    this.score.makeRoom((system) => (system.stretches.length ? roomFor(shown) : 0));
    for (const system of this.score.systems.filter((line) => line.stretches.length)) {
      let top = system.roomTop;
      for (const kind of ["pitch", "pulse"].filter((name) => shown[name])) {
        const height = HEIGHT_PX[kind] * this.score.unitsPerPx;
        system.element.append(this[kind](system, { top, height, middle: top + height / 2 }, barFor));
        top += height + BETWEEN_PX * this.score.unitsPerPx;
      }
    }
    // One stop for the tab key in each kind of ribbon; the arrow keys do the rest.
    for (const kind of ["pitch", "pulse"]) this.score.root.querySelector(`.ribbon.${kind} .labelled`)?.setAttribute("tabindex", "0");
  }

  // The ground of a ribbon under every stretch of asked bars: its band and its centre line, at these heights.
  layer(kind, system, place, { bandTop, bandHeight, middle }) {
    const layer = shape("g", { class: `ribbon ${kind}`, role: "group", "aria-label": this.words[kind] });
    for (const { x, right } of system.stretches) {
      const width = right - x;
      layer.append(
        shape("rect", { class: "ground", x, y: place.top, width, height: place.height }),
        shape("rect", { class: "band", x, y: bandTop, width, height: bandHeight }),
        shape("path", { class: "middle", d: `M${x} ${middle}H${right}`, "stroke-width": this.score.unitsPerPx }),
      );
    }
    return layer;
  }

  pitch(system, place, barFor) {
    const px = this.score.unitsPerPx;
    const perCent = place.height / 2 / EDGE_CENTS;
    const band = this.take.tolerance_cents * perCent;
    const ground = { bandTop: place.middle - band, bandHeight: 2 * band, middle: place.middle };
    const layer = this.layer("pitch", system, place, ground);
    for (const measure of system.bars) {
      const played = barFor(measure.id);
      if (!played) {
        if (this.take.unheard.has(measure.id)) layer.append(this.notHeard(measure, place));
        continue;
      }
      let freeFrom = 0; // names of wrong notes are left out where they would run into each other
      for (const note of this.take.notesAt(played.position)) {
        const at = this.score.noteheadX(note.id);
        if (at === null) continue;
        const named = note.status === "wrong_pitch" && note.heard && at >= freeFrom;
        if (named) freeFrom = at + NAME_PX * px;
        layer.append(this.note(note, at, place, { perCent, named }));
      }
    }
    layer.append(this.label(this.words.pitch_label, system, place));
    return layer;
  }

  notHeard(measure, place) {
    const size = LABEL_PX * this.score.unitsPerPx;
    return shape(
      "text",
      { x: measure.x + measure.width / 2, y: place.middle - size / 2, "font-size": size, "text-anchor": "middle" },
      this.words.not_heard,
    );
  }

  // The ribbon's name: under the clef, or before the first asked bar where bars not asked leave room.
  label(text, system, place) {
    const px = this.score.unitsPerPx;
    const size = LABEL_PX * px;
    const { x } = system.stretches[0];
    const under = x === system.bars[0].x;
    const at = { x: under ? x + 3 * px : x - 4 * px, y: place.middle - size / 2, "text-anchor": under ? "start" : "end" };
    return shape("text", { class: "name", ...at, "font-size": size, "aria-hidden": "true" }, text);
  }

  note(note, x, place, { perCent, named }) {
    const px = this.score.unitsPerPx;
    const mark = shape("g", { class: "labelled", role: "img", tabindex: "-1", "data-note": note.id, "data-position": note.position });
    mark.setAttribute("aria-label", this.noteWords(note));
    mark.append(shape("rect", { class: "reach", x: x - 5 * px, y: place.top, width: 10 * px, height: place.height }));
    if (note.status === "missing") {
      mark.classList.add("missing");
      mark.append(shape("circle", { class: "open", cx: x, cy: place.middle, r: 3.6 * px, "stroke-width": 1.4 * px }));
    } else if (note.status === "wrong_pitch") {
      mark.classList.add("wrong");
      const r = 4 * px;
      const d = `M${x - r} ${place.middle - r}l${2 * r} ${2 * r}m0 ${-2 * r}l${-2 * r} ${2 * r}`;
      mark.append(shape("path", { class: "cross", d, "stroke-width": 2 * px }));
      if (named) {
        const size = LABEL_PX * px;
        mark.append(shape("text", { x, y: place.top + place.height - 2 * px, "font-size": size, "text-anchor": "middle" }, note.heard));
      }
    } else if (note.cents !== null) {
      mark.classList.add("tick", ...(note.status === "uncertain" ? ["unsure"] : []));
      for (const part of tick(note, x, place, perCent, px)) mark.append(part);
    }
    return mark;
  }

  noteWords(note) {
    const { words } = this;
    let verdictWords = words.missing;
    if (note.status === "wrong_pitch") verdictWords = note.heard ? fill(words.wrong_as, note) : words.wrong;
    else if (note.status !== "missing" && note.cents === null)
      verdictWords = note.reason ? fill(words.unjudged_why, note) : words.unjudged;
    else if (note.status !== "missing") {
      const cents = Math.round(Math.abs(note.cents));
      verdictWords = cents < 1 ? words.even : fill(note.cents > 0 ? words.high : words.low, { cents });
      if (note.status === "uncertain") verdictWords += `, ${words.unsure}`;
    }
    const beat = Number.isInteger(note.beat) ? note.beat : Number(note.beat).toFixed(2).replace(/\.?0+$/, "");
    return `${fill(words.place, { bar: note.bar, beat, name: note.name })} ${verdictWords}`;
  }

  pulse(system, place, barFor) {
    const px = this.score.unitsPerPx;
    const { marked_bpm: marked, low_bpm: low, high_bpm: high } = this.take;
    const reach = Math.max(Math.log(high / marked) / BAND_SHARE, Math.log(marked / low) / BAND_SHARE, LEAST_REACH);
    const y = (bpm) => {
      const share = Math.max(-1, Math.min(1, Math.log(bpm / marked) / reach));
      return place.middle - share * (place.height / 2 - 2 * px);
    };
    const ground = { bandTop: y(high), bandHeight: y(low) - y(high), middle: y(marked) };
    const layer = this.layer("pulse", system, place, ground);
    let before = null;
    for (const measure of system.bars) {
      const played = barFor(measure.id);
      const tempo = played && this.take.tempoAt(played.position);
      if (!tempo || tempo.bpm === null) {
        before = null;
        continue;
      }
      layer.append(this.step(this.clearOfLabel(measure, system), played, tempo, { y, before, place }));
      before = tempo.bpm;
    }
    layer.append(this.label(this.words.pulse_label, system, place));
    return layer;
  }

  // In the first bar of a line the clef's room belongs to the ribbon's name.
  clearOfLabel(measure, system) {
    if (measure !== system.bars[0]) return measure;
    const heads = [...measure.element.querySelectorAll("g.note, g.rest")].map((head) => head.getBBox().x);
    const x = Math.max(measure.x, Math.min(...heads, measure.x + measure.width / 2) - 8 * this.score.unitsPerPx);
    return { ...measure, x, width: measure.x + measure.width - x };
  }

  step(measure, played, tempo, { y, before, place }) {
    const px = this.score.unitsPerPx;
    const { low_bpm: low, high_bpm: high } = this.take;
    const height = y(tempo.bpm);
    const verdict = tempo.bpm < low ? "below" : tempo.bpm > high ? "above" : "within";
    const unsure = tempo.confidence !== null && tempo.confidence < SURE;
    const bpm = Math.round(tempo.bpm);
    const verdictWords = fill(this.words.bar_tempo, { bar: played.bar, bpm, verdict: this.words[verdict] });
    const mark = shape("g", { class: `labelled step ${verdict}${unsure ? " unsure" : ""}`, role: "img", tabindex: "-1" });
    mark.setAttribute("data-measure", measure.id);
    mark.setAttribute("data-position", played.position);
    mark.setAttribute("aria-label", unsure ? `${verdictWords}, ${this.words.unsure}` : verdictWords);
    mark.append(shape("rect", { class: "reach", x: measure.x, y: place.top, width: measure.width, height: place.height }));
    const join = before === null ? `M${measure.x} ${height}` : `M${measure.x} ${y(before)}V${height}`;
    mark.append(shape("path", { class: "line", d: `${join}h${measure.width}`, "stroke-width": 2.2 * px, "stroke-dasharray": unsure ? `${4 * px} ${3 * px}` : "none" }));
    if (verdict !== "within") {
      const size = LABEL_PX * px;
      const under = height - size < place.top;
      const at = { x: measure.x + measure.width / 2, y: under ? height + size + px : height - 3 * px };
      mark.append(shape("text", { ...at, "font-size": size, "text-anchor": "middle" }, String(bpm)));
    }
    return mark;
  }
}

// Runs of neighbouring asked bars in one line of music, as { x, right } in the drawing's units.
function stretchesOf(bars, asked) {
  const stretches = [];
  let open = null;
  for (const bar of bars) {
    if (!asked.has(bar.id)) {
      open = null;
      continue;
    }
    if (!open) stretches.push((open = { x: bar.x }));
    open.right = bar.x + bar.width;
  }
  return stretches;
}

// A judged note: a bar from the centre line to its height; hollow and dashed where unsure, arrowed beyond the edge.
function tick(note, x, place, perCent, px) {
  const beyond = Math.abs(note.cents) > EDGE_CENTS;
  const cents = Math.max(-EDGE_CENTS, Math.min(EDGE_CENTS, note.cents));
  // A hollow tick needs some height to be seen as hollow.
  const length = Math.max(Math.abs(cents) * perCent, (note.status === "uncertain" ? 4.5 : 1.2) * px);
  const width = TICK_PX * px;
  const up = cents >= 0;
  const bar = { class: "bar", x: x - width / 2, y: up ? place.middle - length : place.middle, width, height: length };
  if (note.status === "uncertain") Object.assign(bar, { "stroke-width": 1.1 * px, "stroke-dasharray": `${2 * px} ${1.4 * px}` });
  const parts = [shape("rect", bar)];
  if (beyond) {
    const tip = up ? place.top : place.top + place.height;
    const back = tip + (up ? 6 : -6) * px;
    parts.push(shape("path", { class: "arrow", d: `M${x - 4.5 * px} ${back}L${x} ${tip}L${x + 4.5 * px} ${back}Z` }));
  }
  return parts;
}
