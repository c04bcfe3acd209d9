"""Repeats and jumps in the canonical MusicXML: what is printed, and what it means for playing.

Meaning follows MusicXML 4.0 (`<repeat>`, `<ending>` and the attributes of `<sound>`). Some programs write a
jump only as words ("D.C. al Fine"); `spell_out_jumps` adds the missing `<sound>` so that every reader of
the stored file plays the same order. Endings and repeats nobody could play raise `BadScore` with the bar.
"""

import copy
import re
from collections.abc import Iterable, Iterator
from xml.etree.ElementTree import Element, SubElement

from repertoire.notation import messages
from repertoire.notation.score import BadScore

LONGEST_NUMBER = 4  # digits; anything with more is far beyond a printed pass anyway
MOST_TIMES = 16  # more than any printed repeat asks for
JUMPS = ("dacapo", "dalsegno")
TARGETS = ("segno", "coda", "tocoda", "fine")
WORDS = {
    "dacapo": re.compile(r"^(d\.?\s*c\.?(\s|$)|da\s+capo)", re.IGNORECASE),
    "dalsegno": re.compile(r"^(d\.?\s*s\.?(\s|$)|dal\s+segno)", re.IGNORECASE),
    "tocoda": re.compile(r"^(to\s+coda|al\s+coda)\b", re.IGNORECASE),
    "fine": re.compile(r"^fine\.?$", re.IGNORECASE),
    "coda": re.compile(r"^coda\.?$", re.IGNORECASE),
}


def spell_out_jumps(measures: list[Element]) -> None:
    """Add `<sound>` to printed jumps, segno, coda and fine where the file has none of that kind."""
    known = {name: tokens_of(measures, name) for name in (*JUMPS, *TARGETS)}
    printed = _printed(measures)
    missing = {name: places for name, places in printed.items() if places and not known[name]}
    jumps = any(known[name] or missing.get(name) for name in JUMPS)
    if not jumps:
        return
    tokens = {
        "dacapo": "yes",
        "fine": "yes",
        "segno": next(iter(known["dalsegno"]), "segno"),
        "dalsegno": next(iter(known["segno"]), "segno"),
        "coda": next(iter(known["tocoda"]), "coda"),
        "tocoda": next(iter(known["coda"]), "coda"),
    }
    for name, places in missing.items():
        for direction in places:
            sound = direction.find("sound")
            if sound is None:
                sound = SubElement(direction, "sound")
            sound.set(name, tokens[name])


def close_endings(measures: list[Element]) -> None:
    """End an ending that the file opens and never ends, in its own bar, as players read such a bracket."""
    opened: tuple[Element, str] | None = None
    for measure in measures:
        for ending in measure.findall("barline/ending"):
            if ending.get("type") == "start":
                _close(opened)
                opened = (measure, ending.get("number", "1"))
            else:
                opened = None
    _close(opened)


def _close(opened: tuple[Element, str] | None) -> None:
    if opened is None:
        return
    measure, number = opened
    barline = next((b for b in measure.findall("barline") if b.get("location", "right") == "right"), None)
    if barline is None:
        barline = SubElement(measure, "barline", {"location": "right"})
    ending = Element("ending", {"number": number, "type": "discontinue"})
    repeat = barline.find("repeat")
    barline.insert(len(barline) if repeat is None else list(barline).index(repeat), ending)


def tokens_of(measures: Iterable[Element], name: str) -> list[str]:
    """What the `<sound>` of these bars says of one kind of sign, such as "segno" or "dacapo"."""
    return [sound.get(name, "") for measure in measures for sound in measure.iter("sound") if sound.get(name)]


def _printed(measures: list[Element]) -> dict[str, list[Element]]:
    """Directions by what their words or signs say."""
    found: dict[str, list[Element]] = {name: [] for name in (*JUMPS, *TARGETS)}
    coda_signs: list[Element] = []
    for measure in measures:
        for direction in measure.findall("direction"):
            text = " ".join(" ".join(w.text or "" for w in direction.iter("words")).split())
            name = next((name for name, pattern in WORDS.items() if text and pattern.match(text)), None)
            if name:
                found[name].append(direction)
            elif direction.find("direction-type/segno") is not None:
                found["segno"].append(direction)
            elif direction.find("direction-type/coda") is not None:
                coda_signs.append(direction)
    if coda_signs and not found["coda"]:
        found["coda"] = [coda_signs.pop()]  # the last sign is the coda itself, earlier ones point to it
    if coda_signs and not found["tocoda"]:
        found["tocoda"] = coda_signs
    return found


def has_jumps(measures: Iterable[Element]) -> bool:
    """Whether a da capo, dal segno or jump to the coda is printed."""
    return any(tokens_of([measure], name) for measure in measures for name in JUMPS)


def jump_count(measures: Iterable[Element]) -> int:
    """How many such jumps are printed."""
    return sum(len(tokens_of([measure], name)) for measure in measures for name in JUMPS)


def has_repeats(measures: Iterable[Element]) -> bool:
    """Whether a repeat sign is printed."""
    return any(measure.find("barline/repeat") is not None for measure in measures)


def has_endings(measures: Iterable[Element]) -> bool:
    """Whether an ending is printed."""
    return any(measure.find("barline/ending") is not None for measure in measures)


def ending_numbers(number: str) -> list[int]:
    """The passes of an ending: "1, 2" and "1-3" and "1." are all met."""
    passes: list[int] = []
    for piece in re.split(r"[,\s]+", number.replace(".", " ").strip()):
        first, _, last = piece.partition("-")
        if first.isdecimal():
            from_pass = int(first[:LONGEST_NUMBER])
            to_pass = min(int(last[:LONGEST_NUMBER]), 99) if last.isdecimal() else from_pass
            passes += range(from_pass, to_pass + 1)
    return passes


def without_repeats(root: Element) -> Element:
    """A copy of a canonical score with repeats gone and only the last ending of each group left."""
    tree = copy.deepcopy(root)
    part = tree.find("part")
    assert part is not None
    for measure in _earlier_endings(part.findall("measure")):
        part.remove(measure)
    for measure in part.findall("measure"):
        for barline in measure.findall("barline"):
            for mark in [*barline.findall("repeat"), *barline.findall("ending")]:
                barline.remove(mark)
    return tree


def _earlier_endings(measures: list[Element]) -> list[Element]:
    """Bars under an ending that another ending follows directly."""
    earlier = [span for group in ending_groups(measures) for span in group[:-1]]
    return [measure for first, last in earlier for measure in measures[first : last + 1]]


def ending_groups(measures: list[Element]) -> list[list[tuple[int, int]]]:
    """Endings as (first, last) bar index, those that follow each other directly in one group."""
    groups: list[list[tuple[int, int]]] = []
    opened: int | None = None
    for index, measure in enumerate(measures):
        for ending in measure.findall("barline/ending"):
            if ending.get("type") == "start":
                opened = index if opened is None else opened
            elif opened is not None:
                if groups and groups[-1][-1][1] + 1 == opened:
                    groups[-1].append((opened, index))
                else:
                    groups.append([(opened, index)])
                opened = None
    return groups


def check_times(measures: Iterable[Element]) -> None:
    """Refuse repeats that would be played without end."""
    for measure in measures:
        for repeat in measure.iterfind("barline/repeat"):
            times = repeat.get("times", "").strip()
            if len(times) > 3 or (times.isdecimal() and int(times) > MOST_TIMES):
                raise BadScore(messages.TOO_MANY_TIMES(bar=measure.get("number", ""), limit=MOST_TIMES))


def skeleton(root: Element) -> Element:
    """A score of the same bars with one rest each and only repeats, endings, signs and words left.

    Enough for a reader of repeats, quick to read, and free of whatever else such a reader might stumble on.
    """
    tree = Element("score-partwise", {"version": "4.0"})
    listed = SubElement(SubElement(tree, "part-list"), "score-part", {"id": "P1"})
    SubElement(listed, "part-name")
    part = SubElement(tree, "part", {"id": "P1"})
    for measure in root.iterfind("part/measure"):
        bare = SubElement(part, "measure", {name: measure.get(name, "") for name in ("id", "number")})
        SubElement(SubElement(bare, "attributes"), "divisions").text = "1"
        elements = list(measure)
        first = next((k for k, element in enumerate(elements) if element.tag == "note"), len(elements))
        bare.extend(_navigation(elements[:first]))
        rest = SubElement(bare, "note")
        SubElement(rest, "rest", {"measure": "yes"})
        SubElement(rest, "duration").text = "4"
        bare.extend(_navigation(elements[first:]))
    return tree


def _navigation(elements: Iterable[Element]) -> Iterator[Element]:
    """What of these elements says in which order bars are played."""
    for element in elements:
        hairpin = element.find("direction-type/wedge") is not None
        if element.tag == "sound" or (element.tag == "direction" and not hairpin):
            yield copy.deepcopy(element)
        elif element.tag == "barline":
            bare = Element("barline", {"location": element.get("location", "right")})
            marks = [mark for mark in element if mark.tag in ("repeat", "ending", "segno", "coda")]
            bare.extend(copy.deepcopy(mark) for mark in marks)
            yield bare
