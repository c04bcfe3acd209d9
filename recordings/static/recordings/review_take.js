// What was measured of the take, as the page needs it: bars in played order, notes and tempo by bar, passes.

export class MeasuredTake {
  constructor(data) {
    Object.assign(this, data);
    this.passes = new Map(); // measure id -> its played bars, first pass first
    for (const bar of this.bars) {
      if (!this.passes.has(bar.measure)) this.passes.set(bar.measure, []);
      this.passes.get(bar.measure).push(bar);
    }
    this.notesOf = Map.groupBy ? Map.groupBy(this.notes, (note) => note.position) : grouped(this.notes);
    this.tempoOf = new Map(this.tempo.map((bar) => [bar.position, bar]));
    this.unheard = new Set(this.asked.filter((id) => !this.passes.has(id)));
  }

  get mostPasses() {
    return Math.max(1, ...this.bars.map((bar) => bar.pass));
  }

  notesAt(position) {
    return this.notesOf.get(position) ?? [];
  }

  tempoAt(position) {
    return this.tempoOf.get(position) ?? null;
  }

  isRepeated(measureId) {
    return this.passes.get(measureId)?.some((bar) => bar.pass > 1) ?? false;
  }

  // The played bar that stands for a printed bar while `pass` is looked at; null where it was not heard.
  barFor(measureId, pass) {
    const bars = this.passes.get(measureId);
    if (!bars) return null;
    return bars.findLast((bar) => bar.pass <= pass) ?? bars[0];
  }

  barNamed(label, after = null) {
    const from = after ? after.position : -1;
    return this.bars.find((bar) => bar.bar === label && bar.position >= from) ?? null;
  }
}

function grouped(notes) {
  const groups = new Map();
  for (const note of notes) groups.set(note.position, [...(groups.get(note.position) ?? []), note]);
  return groups;
}
