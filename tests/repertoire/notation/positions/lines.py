"""Scores written as lines of notes: "A3 B3/2 r ( C#4 D4 ) F#4+A4 |", lengths in quarters."""

import re

from repertoire.notation.read.reading import read_score

from ..makers import attributes, part, score

TOKEN = re.compile(r"([A-G])([#b]?)([0-9])")
DIVISIONS = 12
OCTAVE_LOWER = "<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>"


def read(text: str, *, fifths: int = 0, beats: int = 4, bass: bool = False, title: str = ""):
    """The canonical score of a line; `bass` sounds an octave below what is written."""
    first = attributes(
        fifths=fifths, beats=beats, divisions=DIVISIONS, transpose=OCTAVE_LOWER if bass else ""
    )
    bars = []
    for number, bar in enumerate(text.split("|"), 1):
        body = "".join(_bar(bar.split()))
        bars.append(f'<measure number="{number}">{first if number == 1 else ""}{body}</measure>')
    head = f"<movement-title>{title}</movement-title>" if title else ""
    return read_score(score(part(bars), head=head))


def _bar(words: list[str]):
    opens = False
    for k, word in enumerate(words):
        if word == "(":
            opens = True
        elif word != ")":
            closes = words[k + 1 : k + 2] == [")"]
            yield _together(word, opens, closes)
            opens = False


def _together(word: str, opens: bool, closes: bool) -> str:
    names, _, length = word.partition("/")
    duration = round(DIVISIONS * float(length or 1))
    if names == "r":
        return f"<note><rest/><duration>{duration}</duration><voice>1</voice></note>"
    slurs = '<slur type="start"/>' if opens else '<slur type="stop"/>' if closes else ""
    notes = []
    for k, name in enumerate(names.split("+")):
        pitch, _, finger = name.partition("=")
        step, alter, octave = TOKEN.fullmatch(pitch).groups()
        alter_xml = f"<alter>{ {'#': 1, 'b': -1}[alter] }</alter>" if alter else ""
        technical = f"<technical><fingering>{finger}</fingering></technical>" if finger else ""
        marks = f"<notations>{slurs}{technical}</notations>" if slurs or technical else ""
        notes.append(
            f"<note>{'<chord/>' if k else ''}<pitch><step>{step}</step>{alter_xml}<octave>{octave}</octave>"
            f"</pitch><duration>{duration}</duration><voice>1</voice>{marks}</note>"
        )
        slurs = ""
    return "".join(notes)
