"""What the score holds beside the form asked for: the bars around an excerpt, and the jumps its signs allow.

Who plays more than was asked must not be forced onto the asked bars, and who takes a repeat that was not
asked for, or leaves one out, is followed along the printed signs. Positions are indexes into the bars of a
form, times quarters. Nothing is raised.
"""

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


def printed_jumps(form: Form) -> set[tuple[int, int]]:
    """Pairs of form positions a player may link by the printed signs though the form does not.

    A repeat left out, taken again, or a wrong ending: any bar pair that is a neighbour pair somewhere in
    the printed order or in plain reading order, at every pass of both bars.
    """
    score = form.score
    pairs = set(zip(score.order, score.order[1:], strict=False))
    pairs |= {(m.index, m.index + 1) for m in score.measures[:-1]}
    positions: dict[int, list[int]] = {}
    for bar in form.bars:
        positions.setdefault(bar.measure_index, []).append(bar.position)
    following = {bar.position: nxt.measure_index for bar, nxt in zip(form.bars, form.bars[1:], strict=False)}
    return {
        (i, j)
        for a, b in pairs
        for i in positions.get(a, ())
        if following.get(i) != b
        for j in positions.get(b, ())
    }
