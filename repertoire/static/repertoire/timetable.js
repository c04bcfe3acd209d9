// When everything sounds, as plain data: no clock and no sound in here.
// Seconds count from the first bar played; a count-in lies before it, at negative times.
import { STRONG } from "./synth.js";

const MEDIUM = STRONG - 1;
const BEAT = STRONG - 2;
const PART = 0;
// Common practice, no published source: four beats lean on the third, six on the fourth.
const LEANS_ON = new Map([[4, 3], [6, 4]]);

// The same music at another tempo; the bars keep their places.
export function atTempo(times, bpm) {
  const ratio = times.bpm / bpm;
  const moved = (rows, ...names) =>
    rows.map((row) => Object.assign({}, row, Object.fromEntries(names.map((name) => [name, row[name] * ratio]))));
  return {
    ...times,
    bpm,
    length_s: times.length_s * ratio,
    count_in_s: times.count_in_s * ratio,
    notes: moved(times.notes, "onset_s", "duration_s"),
    clicks: moved(times.clicks, "at_s"),
    count_in: moved(times.count_in, "at_s"),
    bars: moved(times.bars, "at_s"),
  };
}

// The played bars from where bar `first` begins to where bar `last` was left, as positions: the first time that it
// goes from one to the other without leaving them.
function positionsOf(bars, labels, first, last) {
  const [low, high] = [labels.indexOf(first), labels.indexOf(last)];
  const runs = [];
  for (const [index, { bar }] of bars.entries()) {
    const place = labels.indexOf(bar);
    if (place < low || place > high) continue;
    if (runs.at(-1)?.at(-1) === index - 1) runs.at(-1).push(index);
    else runs.push([index]);
  }
  const reaching = runs.find((run) => bars[run[0]].bar === first && run.some((index) => bars[index].bar === last));
  return reaching?.slice(0, reaching.findLastIndex((index) => bars[index].bar === last) + 1) ?? [];
}

const changed = (rows, change) => rows.map((row) => Object.assign({}, row, change(row)));

// Some bars of the whole, as the server would cut them; the whole where they are never played in one go.
export function stretch(times, labels, first, last) {
  const positions = positionsOf(times.bars, labels, first, last);
  if (!positions.length) return times;
  const [from, to] = [positions[0], positions.at(-1)];
  const beginS = times.bars[from].at_s;
  const endS = times.bars[to + 1]?.at_s ?? times.length_s;
  const inside = (atS) => atS >= beginS - 1e-4 && atS < endS - 1e-4;
  const moved = (rows) => changed(rows, ({ at_s: atS }) => ({ at_s: atS - beginS }));
  const notes = changed(
    times.notes.filter(({ position }) => position >= from && position <= to),
    (note) => ({ onset_s: note.onset_s - beginS, position: note.position - from }),
  );
  const clicks = moved(times.clicks.filter((click) => inside(click.at_s)));
  const barS = (times.bars[from + 1]?.at_s ?? times.length_s) - beginS;
  const firstBar = clicks.filter((click) => click.at_s < barS - 1e-4);
  const counted = from ? changed(firstBar, ({ at_s: atS }) => ({ at_s: atS - barS })) : times.count_in;
  const bars = changed(moved(times.bars.slice(from, to + 1)), ({ position }) => ({ position: position - from }));
  return { ...times, length_s: endS - beginS, notes, clicks, bars, count_in: counted, count_in_s: -(counted[0]?.at_s ?? 0) };
}

// Each click with its weight in the bar, and between two of them `parts - 1` lighter ones.
export function weighed(clicks, endS, parts = 1) {
  const bars = [];
  for (const click of clicks) {
    if (click.accent || !bars.length) bars.push([]);
    bars.at(-1).push(click);
  }
  const beats = bars.flatMap((bar) =>
    bar.map((click) => ({
      atS: click.at_s,
      level: click.accent ? STRONG : click.beat === LEANS_ON.get(bar.length) ? MEDIUM : BEAT,
    })),
  );
  return beats.flatMap((beat, k) => {
    const stepS = ((beats[k + 1]?.atS ?? endS) - beat.atS) / parts;
    return Array.from({ length: parts }, (_, n) => ({ atS: beat.atS + n * stepS, level: n ? PART : beat.level }));
  });
}

export class Timetable {
  // `position` is the played bar to begin with; with `loop` the whole stretch follows again and again.
  constructor(times, { countIn = false, loop = false, position = 0, parts = 1 } = {}) {
    this.times = times;
    this.loop = loop;
    this.fromS = times.bars[Math.min(position, times.bars.length - 1)]?.at_s ?? 0;
    const notes = times.notes.map((note) => ({
      kind: "note", atS: note.onset_s, durationS: note.duration_s, midi: note.midi, position: note.position, id: note.id,
    }));
    const clicks = weighed(times.clicks, times.length_s, parts).map((click) => Object.assign({ kind: "click", counting: false }, click));
    this.events = [...notes, ...clicks].sort((a, b) => a.atS - b.atS);
    this.first = this.events.filter((event) =>
      event.kind === "note" ? event.position >= position : event.atS > this.fromS - 1e-6);
    const counted = countIn ? times.count_in : [];
    this.countIn = weighed(counted, 0).map((click) => ({
      kind: "click", counting: true, level: click.level, atS: click.atS + this.fromS,
    }));
  }

  // Grace notes begin before the first bar.
  get beginsS() {
    return Math.min(this.fromS, this.countIn[0]?.atS ?? this.fromS, this.first[0]?.atS ?? this.fromS);
  }

  get endsS() { return this.loop ? Infinity : this.times.length_s; }

  // Everything from `fromS` up to, and without, `untilS`; the second round begins where the first ends.
  between(fromS, untilS) {
    const inside = (event) => event.atS >= fromS && event.atS < untilS;
    const found = [...this.countIn, ...this.first].filter(inside);
    const lengthS = this.times.length_s;
    // One round before and one after the window: graces reach back over the seam.
    for (let round = Math.max(1, Math.floor(fromS / lengthS) - 1); this.loop && round * lengthS < untilS + 1; round += 1)
      found.push(...this.events.map((event) => Object.assign({}, event, { atS: event.atS + round * lengthS })).filter(inside));
    return found.sort((a, b) => a.atS - b.atS);
  }

  // Where in the stretch a moment lies, whatever the round.
  placeAt(atS) {
    return this.loop && atS >= 0 ? atS % this.times.length_s : atS;
  }

  barAt(atS) {
    return this.times.bars.findLast((bar) => bar.at_s <= this.placeAt(atS) + 1e-6);
  }

  notesAt(atS) {
    const at = this.placeAt(atS);
    return this.times.notes.filter((note) => note.onset_s <= at && at < note.onset_s + note.duration_s);
  }
}
