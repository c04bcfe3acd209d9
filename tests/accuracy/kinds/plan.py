"""Which takes a run makes, by kind and seed."""

from collections.abc import Iterator

import numpy as np

from tests.accuracy.bench.etudes import etude
from tests.accuracy.bench.instruments import PLAYERS, Player
from tests.accuracy.bench.takes import Studio

from . import pages
from .takes import OTHERS, KindTake, Way, another, held_against, play, plucked, solo, struck

STOPS, STOPS_WRONG, CHORDS = "double stops", "double stops, wrong notes", "chords"
WRONG_PAGE, DOUBLE = "wrong page", "theme and double"
PIANO_12, PIANO_6, ANNOUNCED, PLUCKED = "piano 12 dB below", "piano 6 dB below", "announced", "plucked"
OTHER_PLAYERS = "other instruments"  # which nothing was fitted on
KINDS = (STOPS, STOPS_WRONG, CHORDS, WRONG_PAGE, DOUBLE, PIANO_12, PIANO_6, ANNOUNCED, PLUCKED, OTHER_PLAYERS)
FITTED_KINDS = (STOPS, STOPS_WRONG, CHORDS, PIANO_12, PIANO_6, ANNOUNCED)
STOPPING = ("violin", "cello")
STOPPED_ETUDES = ("rhythms", "leaps", "legato")
SOLOISTS = ("violin", "flute", "cello")
WRONG_PAGES, DOUBLES, ANNOUNCEMENTS, PLUCKINGS = 24, 3, 8, 6


def takes(kind: str, seed: int, studio: Studio) -> Iterator[KindTake]:
    """All takes of a kind, made one after the other."""
    making = {
        STOPS: _stops, STOPS_WRONG: _stops, CHORDS: _chords, WRONG_PAGE: _wrong_pages, DOUBLE: _doubles,
        PIANO_12: _accompanied, PIANO_6: _accompanied, ANNOUNCED: _announced, PLUCKED: _plucked,
        OTHER_PLAYERS: _others,
    }  # fmt: skip
    yield from making[kind](kind, seed, studio)


def _lot(seed: int, *where: object) -> np.random.Generator:
    return np.random.default_rng([seed, *(ord(c) for part in where for c in str(part))])


def _stops(kind: str, seed: int, studio: Studio) -> Iterator[KindTake]:
    for name in STOPPING:
        for number, page in enumerate(STOPPED_ETUDES):
            way = solo(name, kind, 10 * seed + number, wrong=kind == STOPS_WRONG)
            yield play(way, pages.in_double_stops(page, way.player, _lot(seed, page, name)), studio)


def _chords(kind: str, seed: int, studio: Studio) -> Iterator[KindTake]:
    for name in ("harp", "piano", "organ"):
        for number, page in enumerate((pages.of_chords, pages.of_chords, pages.broken)):
            way = struck(name, kind, 10 * seed + number)
            yield play(way, page(way.player, _lot(seed, number, name)), studio)


def _wrong_pages(kind: str, seed: int, studio: Studio) -> Iterator[KindTake]:
    """Other etudes, chords for a line and a line for chords, other chords."""
    lot = _lot(seed, kind)
    for number in range(WRONG_PAGES):
        way = _any_way(kind, 100 * seed + number, lot)
        first, second = (_any_page(way.player, way.judged, lot) for _page in range(2))
        yield held_against(play(way, first, studio), second)


def _any_way(kind: str, seed: int, lot: np.random.Generator) -> Way:
    if lot.random() < 0.3:
        return struck(str(lot.choice(("harp", "piano", "organ"))), kind, seed)
    return solo(str(lot.choice(list(PLAYERS))), kind, seed)


def _any_page(player: Player, line: bool, lot: np.random.Generator):
    if not line and lot.random() < 0.8:
        return (pages.of_chords, pages.broken)[int(lot.integers(2))](player, lot)
    return etude(str(lot.choice(("runs", "rhythms", "leaps", "repeated", "legato"))), player, lot)


def _doubles(kind: str, seed: int, studio: Studio) -> Iterator[KindTake]:
    """A theme against its double, and the double against the theme."""
    for number, name in enumerate(SOLOISTS[:DOUBLES]):
        way = solo(name, kind, 10 * seed + number)
        plain, varied = pages.theme(way.player, _lot(seed, kind, name))
        yield held_against(play(way, plain, studio), varied)
        yield held_against(play(way, varied, studio), plain)


def _accompanied(kind: str, seed: int, studio: Studio) -> Iterator[KindTake]:
    for name in SOLOISTS:
        for number, page in enumerate(("rhythms", "leaps")):
            way = solo(name, kind, 10 * seed + number, piano_db=-6.0 if kind == PIANO_6 else -12.0)
            yield play(way, etude(page, way.player, _lot(seed, page, name)), studio)


def _announced(kind: str, seed: int, studio: Studio) -> Iterator[KindTake]:
    for number in range(ANNOUNCEMENTS):
        yield announced(number, seed, studio)


def announced(number: int, seed: int, studio: Studio) -> KindTake:
    """One of the announced takes, the instruments in turn."""
    names = list(PLAYERS)
    way = solo(names[number % len(names)], ANNOUNCED, 10 * seed + number, announced=True)
    page = ("rhythms", "leaps", "runs", "repeated")[number % 4]
    return play(way, etude(page, way.player, _lot(seed, ANNOUNCED, number)), studio)


def _plucked(kind: str, seed: int, studio: Studio) -> Iterator[KindTake]:
    for number in range(PLUCKINGS):
        way = plucked(10 * seed + number)
        page = ("rhythms", "leaps", "repeated")[number % 3]
        yield play(way, etude(page, way.player, _lot(seed, kind, number)), studio)


def _others(kind: str, seed: int, studio: Studio) -> Iterator[KindTake]:
    for name in OTHERS:
        for number, page in enumerate(("rhythms", "leaps", "legato")):
            way = another(name, kind, 10 * seed + number)
            yield play(way, etude(page, way.player, _lot(seed, kind, name, page)), studio)
