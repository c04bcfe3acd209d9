"""One clean part with an id on every bar and note: the MusicXML that is stored, drawn and analysed.

Kept: everything that is music. Left out: page layout, credits, links, pictures and foreign ids.
Ids count in document order from 1: `p1m7` is the seventh bar of the first part, `p1m7n3` its third note.
Elements after MusicXML 4.0.
"""

import re
from xml.etree.ElementTree import Element, SubElement

from repertoire.notation import messages
from repertoire.notation.order.navigation import check_times, close_endings, spell_out_jumps
from repertoire.notation.order.unfolding import check_nesting
from repertoire.notation.read.parts import keep_voice, part_at
from repertoire.notation.read.safety import Limits
from repertoire.notation.score import BadScore

LEFT_OUT = {
    "print",
    "link",
    "bookmark",
    "image",
    "listening",
    "grouping",
    "figured-bass",
    "play",
    "instrument",
    "encoding",
    "miscellaneous",
}
KEPT_AT_TOP = ("work", "movement-number", "movement-title", "identification")
LAYOUT_ATTRIBUTES = re.compile(
    r"^(id|width|color|default-[xy]|relative-[xy]|bezier-.*|font-.*|.*xlink.*|optional-unique-id|.*\}.*)$"
)

# Verovio writes others, such as "nan", into a timemap that then cannot be read.
PLAIN_TEMPO = re.compile(r"\s*[0-9]{1,4}(\.[0-9]*)?\s*")


def canonical_tree(
    root: Element, limits: Limits, part: str | None = None, choice: str | None = None
) -> Element:
    """A new score-partwise with one part, cleaned and numbered; raises `BadScore`."""
    _check_root(root)
    voice = ""
    if choice is not None:
        wanted, voice = part_at(root, choice)
        index, chosen, listed = next(entry for entry in _parts(root) if entry[1] is wanted)
    else:
        index, chosen, listed = _choose_part(root, part)
    measures = chosen.findall("measure")
    _check_counts(measures, limits)
    if voice:
        keep_voice(chosen, voice)
    clean = Element("score-partwise", {"version": "4.0"})
    for tag in KEPT_AT_TOP:
        for element in root.findall(tag):
            _clean(element)
            clean.append(element)
    _drop_placeholders(clean)
    _keep_title(root, clean)
    score_part = SubElement(SubElement(clean, "part-list"), "score-part", {"id": "P1"})
    SubElement(score_part, "part-name").text = _name_of(listed)
    part_element = SubElement(clean, "part", {"id": "P1"})
    for measure in measures:
        _clean(measure)
        part_element.append(measure)
    _write_ids(measures, part_number=index + 1)
    _label(measures)
    check_times(measures)
    check_nesting(measures)
    close_endings(measures)
    spell_out_jumps(measures)
    return clean


def _check_root(root: Element) -> None:
    if root.tag == "score-timewise":
        raise BadScore(messages.TIMEWISE())
    if root.tag == "opus":
        raise BadScore(messages.OPUS())
    if root.tag != "score-partwise":
        raise BadScore(messages.NOT_MUSICXML())


def has_pitches(part: Element) -> bool:
    """Whether a part has a note of any pitch; rests and percussion have none."""
    return any(note.find("pitch") is not None for note in part.iter("note"))


def _choose_part(root: Element, wanted: str | None) -> tuple[int, Element, Element | None]:
    """The wanted part by id or name, or the first with pitched notes."""
    parts = _parts(root)
    if wanted is not None:
        named = [entry for entry in parts if wanted in (entry[1].get("id"), _name_of(entry[2]))]
        if not named:
            names = ", ".join(_name_of(entry[2]) or entry[1].get("id", "") for entry in parts)
            raise BadScore(messages.PART_NOT_FOUND(part=wanted, parts=names))
        if not has_pitches(named[0][1]):
            raise BadScore(messages.PART_NO_NOTES(part=wanted))
        return named[0]
    for entry in parts:
        if has_pitches(entry[1]):
            return entry
    raise BadScore(messages.NO_NOTES())


def _parts(root: Element) -> list[tuple[int, Element, Element | None]]:
    listed = {entry.get("id", ""): entry for entry in root.findall("part-list/score-part")}
    parts = [(k, part, listed.get(part.get("id", ""))) for k, part in enumerate(root.findall("part"))]
    parts = [entry for entry in parts if entry[1].find("measure") is not None]
    if not parts:
        raise BadScore(messages.NO_PARTS())
    return parts


def _name_of(listed: Element | None) -> str:
    return " ".join((listed.findtext("part-name") or "").split()) if listed is not None else ""


def _drop_placeholders(clean: Element) -> None:
    """A lone dash stands for no title or no name."""
    for parent in list(clean.iter()):
        for child in list(parent):
            if child.tag in ("movement-title", "work-title", "creator") and (child.text or "").strip() == "-":
                parent.remove(child)


def _keep_title(root: Element, clean: Element) -> None:
    """Programs often print the title only as a credit; keep it as the movement's title."""
    if clean.findtext("movement-title") or clean.findtext("work/work-title"):
        return
    for credit in root.findall("credit"):
        if credit.findtext("credit-type") == "title":
            title = " ".join("".join(words.text or "" for words in credit.findall("credit-words")).split())
            if title:
                element = Element("movement-title")
                element.text = title
                identification = clean.find("identification")
                clean.insert(
                    len(clean) if identification is None else list(clean).index(identification), element
                )
            return


def _check_counts(measures: list[Element], limits: Limits) -> None:
    if len(measures) > limits.measures:
        raise BadScore(messages.TOO_MANY_MEASURES(count=len(measures), limit=limits.measures))
    notes = sum(len(measure.findall("note")) for measure in measures)
    if notes > limits.notes:
        raise BadScore(messages.TOO_MANY_NOTES(count=notes, limit=limits.notes))


def _clean(element: Element) -> None:
    for name in [name for name in element.attrib if LAYOUT_ATTRIBUTES.match(name)]:
        del element.attrib[name]
    if element.tag == "sound" and not PLAIN_TEMPO.fullmatch(element.get("tempo", "0")):
        del element.attrib["tempo"]
    element.tail = None
    if len(element):
        element.text = None
    for child in list(element):
        if child.tag in LEFT_OUT or not isinstance(child.tag, str):
            element.remove(child)
        else:
            _clean(child)


def _write_ids(measures: list[Element], *, part_number: int) -> None:
    for m, measure in enumerate(measures, 1):
        measure.set("id", f"p{part_number}m{m}")
        for n, note in enumerate(measure.findall("note"), 1):
            note.set("id", f"p{part_number}m{m}n{n}")


def _label(measures: list[Element]) -> None:
    """Give every bar the number a player sees: an unnumbered rest of a split bar keeps its bar's number."""
    label = "0" if measures[0].get("implicit") == "yes" else "1"
    for position, measure in enumerate(measures, 1):
        number = (measure.get("number") or "").strip()
        if measure.get("implicit") == "yes" and not number.isdigit():
            number = label
        label = number or str(position)
        measure.set("number", label)
