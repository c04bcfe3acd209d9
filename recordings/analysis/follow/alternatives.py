"""What was played although the form leaves it out: a cut not made, a bar of another ending.

Bars are measure indexes of print. Nothing is raised.
"""

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from recordings.analysis import sentences
from recordings.analysis.follow.matched import MatchedForm, label_ranges
from recordings.analysis.follow.note_result import PLAYED, NoteResult
from repertoire.notation.order.forms import play
from repertoire.notation.score import Form

# of the notes left out: so many sounding as printed is the cut not made, fewer is chance
CUT, REPEAT = "cut", "repeat"
PLAYED_SHARE = 0.6  # chosen on made takes, November 2026


def left_out_inside(form: Form) -> frozenset[int]:
    """Printed bars that the form steps over, where print does not do so itself (other endings, a coda)."""
    order = [bar.measure_index for bar in form.bars]
    printed = set(pairwise(form.score.order)) | set(pairwise(form.score.order_without_repeats))
    return frozenset(
        index
        for here, there in pairwise(order)
        if there > here + 1 and (here, there) not in printed
        for index in range(here + 1, there)
    ) - set(order)


def with_cuts_played(form: Form) -> Form:
    """The same form with its cuts played through."""
    cuts = left_out_inside(form)
    order: list[int] = []
    for bar in form.bars:
        while order and order[-1] + 1 in cuts and bar.measure_index > order[-1] + 1:
            order.append(order[-1] + 1)
        order.append(bar.measure_index)
    return play(form.score, order=order)


def with_repeats_played(form: Form) -> tuple[Form, frozenset[int]] | None:
    """The same stretch as printed, and its bars that the form leaves out, such as first endings."""
    asked = {bar.measure_index for bar in form.bars}
    printed = [index for index in form.score.order if min(asked) <= index <= max(asked)]
    endings = frozenset(printed) - asked - left_out_inside(form)
    return (play(form.score, order=printed), endings) if endings else None


def forms_to_try(form: Form, matched: MatchedForm) -> Iterator[tuple[Form, frozenset[int], str]]:
    """Other forms the take may follow, with the bars that would tell and what they would mean.

    The printed repeats are tried only where the player went back: each try is a whole alignment.
    """
    repeated = with_repeats_played(form) if matched.restarts else None
    if repeated:
        yield *repeated, REPEAT
    cuts = left_out_inside(form)
    if cuts:
        yield with_cuts_played(form), cuts, CUT


def were_played(form: Form, cuts: Collection[int], notes: Sequence[NoteResult]) -> bool:
    """Whether the notes of these bars sounded on the whole, so that the cut was not made."""
    ids = {form.score.measures[index].measure_id for index in cuts}
    inside = [note for note in notes if note.measure_id in ids]
    return bool(inside) and sum(note.status == PLAYED for note in inside) >= PLAYED_SHARE * len(inside)


def against_requested(asked: Form, form: Form, matched: MatchedForm) -> tuple[MatchedForm, frozenset[int]]:
    """The take as followed in the form played, told against the form asked for, and its cuts played."""
    heard = {bar.measure_index for bar in form.bars}
    gone = {bar.measure_index for bar in asked.bars} - heard
    told = repeats_against_requested(asked, matched)
    if gone:
        left_out = tuple(sorted(gone.union(told.left_out_measures)))
        told = replace(told, left_out_measures=left_out, complete=False)
    return told, left_out_inside(asked) & heard


def repeats_against_requested(asked: Form, matched: MatchedForm) -> MatchedForm:
    """The take as followed in another form, with its repeats told against the form asked for."""
    wanted = Counter(bar.measure_index for bar in asked.bars)
    again = [
        (bar.measure_index, bar.bar)
        for bar in matched.bars
        if not bar.attempt_left and bar.pass_number > max(wanted[bar.measure_index], 1)
    ]
    if not again:
        return matched
    return replace(matched, repeats=sentences.REPEATS_ADDED(bars=label_ranges(again)))
