"""Made takes measured: what the tests of notes and of forms share."""

from recordings.analysis.analyse import analyse
from tests.recordings.analysis.made import Player, form, score, settings

PRINTED = score()
ALL = tuple(range(12))


def measure(player: Player, order=ALL, *, asked=None, bpm=96.0, cut=0, printed=PRINTED, **more) -> tuple:
    sounded = player.play(printed, order, cut=cut)
    document = analyse(player.render(sounded), form(printed, asked or order), settings(bpm, **more)).to_json()
    return document, sounded


def kinds(document: dict) -> set[str]:
    return {finding["kind"] for finding in document["findings"]}
