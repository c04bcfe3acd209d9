"""The bars around an excerpt: who plays more than was asked must not be forced onto the asked bars."""

from repertoire.notation.score import Form, PlayedBar, PlayedNote


def widen(form: Form) -> tuple[Form, int]:
    """The form with the score's other bars before and after it, in reading order, and how many come before.

    Bars between the form's own (endings not taken, say) are no surroundings.
    """
    asked = {bar.measure_index for bar in form.bars}
    if not asked:
        return form, 0
    everything = range(len(form.score.measures))
    before = [m for m in everything if m < min(asked)]
    after = [m for m in everything if m > max(asked)]
    if not before and not after:
        return form, 0
    order = [*before, *(bar.measure_index for bar in form.bars), *after]
    bars: list[PlayedBar] = []
    notes: list[PlayedNote] = []
    counts: dict[int, int] = {}
    now = 0.0
    own = _notes_by_position(form)
    for position, index in enumerate(order):
        counts[index] = counts.get(index, 0) + 1
        bars.append(PlayedBar(position, index, counts[index], now))
        inside = position - len(before)
        if 0 <= inside < len(form.bars):
            shift = now - form.bars[inside].start_q
            notes += [
                PlayedNote(n.note, position, counts[index], n.start_q + shift, n.duration_q)
                for n in own.get(inside, [])
            ]
        else:
            notes += [
                PlayedNote(n, position, counts[index], now + n.start_q, n.duration_q)
                for n in form.score.notes_in(index)
            ]
        now += form.score.measures[index].length_q
    return Form(form.score, tuple(bars), tuple(notes), now), len(before)


def _notes_by_position(form: Form) -> dict[int, list[PlayedNote]]:
    found: dict[int, list[PlayedNote]] = {}
    for note in form.notes:
        found.setdefault(note.position, []).append(note)
    return found
