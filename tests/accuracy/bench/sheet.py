"""Bars of notes as MusicXML, with the signs of the form: repeats, endings, da capo, coda."""

from dataclasses import dataclass, field
from xml.sax.saxutils import escape

DIVISIONS = 12  # a quarter: sixteenths and triplet eighths are both whole
SHARP_NAMES = (("C", 0), ("C", 1), ("D", 0), ("D", 1), ("E", 0), ("F", 0), ("F", 1), ("G", 0), ("G", 1),
               ("A", 0), ("A", 1), ("B", 0))  # fmt: skip
TYPES = {
    3: ("16th", 0, 0), 4: ("eighth", 0, 1), 6: ("eighth", 0, 0), 9: ("eighth", 1, 0), 8: ("quarter", 0, 1),
    12: ("quarter", 0, 0), 18: ("quarter", 1, 0), 24: ("half", 0, 0), 36: ("half", 1, 0), 48: ("whole", 0, 0),
}  # fmt: skip  # length: type, dots, whether of a triplet


@dataclass(frozen=True, slots=True)
class Written:
    """One note (`midi` None: a rest); `length` in twelfths of a quarter; `slur` "start", "stop" or ""."""

    midi: int | None
    length: int
    slur: str = ""
    accent: bool = False
    below: tuple[int, ...] = ()  # what is struck with it


@dataclass(frozen=True, slots=True)
class Bar:
    notes: tuple[Written, ...]
    repeat_from: bool = False
    repeat_to: bool = False
    ending: int = 0  # 1 or 2; each ending here is one bar long
    to_coda: bool = False
    da_capo: bool = False
    coda: bool = False
    level: str = ""  # "p", "f" at the bar's beginning
    hairpin: str = ""  # "crescendo" or "diminuendo" begins with the bar
    hairpin_ends: bool = False  # with the bar
    words: str = ""  # "rit.", "a tempo" at the bar's beginning


@dataclass(frozen=True, slots=True)
class Sheet:
    title: str
    beats: int
    beat_type: int
    bpm: float  # of the metre's beat
    bars: tuple[Bar, ...] = field(default=())
    ramp: tuple[tuple[float, float], ...] = ()  # (bar from 0, tempo factor) where the music asks for one

    @property
    def beat_unit_q(self) -> float:
        return 1.5 if self.beat_type == 8 else 1.0


def musicxml(sheet: Sheet) -> bytes:
    bars = "".join(_bar(sheet, number, bar) for number, bar in enumerate(sheet.bars, start=1))
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">'
        f"<work><work-title>{escape(sheet.title)}</work-title></work>"
        '<part-list><score-part id="P1"><part-name>Etude</part-name></score-part></part-list>'
        f'<part id="P1">{bars}</part></score-partwise>'
    ).encode()


def _bar(sheet: Sheet, number: int, bar: Bar) -> str:
    left, right = "", ""
    if bar.ending:
        left += f'<ending number="{bar.ending}" type="start"/>'
        right += f'<ending number="{bar.ending}" type="{"stop" if bar.ending == 1 else "discontinue"}"/>'
    if bar.repeat_from:
        left += '<repeat direction="forward"/>'
    if bar.repeat_to:
        right += '<repeat direction="backward"/>'
    return (
        f'<measure number="{number}">'
        + (f'<barline location="left">{left}</barline>' if left else "")
        + (_opening(sheet) if number == 1 else "")
        + (_sign("<coda/>", 'coda="coda"') if bar.coda else "")
        + (_mark(f"<words>{bar.words}</words>") if bar.words else "")
        + (_mark(f"<dynamics><{bar.level}/></dynamics>") if bar.level else "")
        + (_mark(f'<wedge type="{bar.hairpin}"/>') if bar.hairpin else "")
        + "".join(_note(note) for note in bar.notes)
        + (_mark('<wedge type="stop"/>') if bar.hairpin_ends else "")
        + (_sign("<words>To Coda</words>", 'tocoda="coda"') if bar.to_coda else "")
        + (_sign("<words>D.C. al Coda</words>", 'dacapo="yes"') if bar.da_capo else "")
        + (f'<barline location="right">{right}</barline>' if right else "")
        + "</measure>"
    )


def _opening(sheet: Sheet) -> str:
    dot = "<beat-unit-dot/>" if sheet.beat_type == 8 else ""
    return (
        f"<attributes><divisions>{DIVISIONS}</divisions><key><fifths>2</fifths></key>"
        f"<time><beats>{sheet.beats}</beats><beat-type>{sheet.beat_type}</beat-type></time>"
        "<clef><sign>G</sign><line>2</line></clef></attributes>"
        f"<direction><direction-type><metronome><beat-unit>quarter</beat-unit>{dot}"
        f"<per-minute>{sheet.bpm:g}</per-minute></metronome></direction-type>"
        f'<sound tempo="{sheet.bpm * sheet.beat_unit_q:g}"/></direction>'
    )


def _sign(drawn: str, sound: str) -> str:
    return f"<direction><direction-type>{drawn}</direction-type><sound {sound}/></direction>"


def _mark(drawn: str) -> str:
    return f"<direction><direction-type>{drawn}</direction-type></direction>"


def _note(note: Written) -> str:
    head = "<rest/>" if note.midi is None else _pitch(note.midi)
    return _as_written(note, head) + "".join(_as_written(note, f"<chord/>{_pitch(m)}") for m in note.below)


def _pitch(midi: int) -> str:
    step, alter = SHARP_NAMES[midi % 12]
    sharp = "<alter>1</alter>" if alter else ""
    return f"<pitch><step>{step}</step>{sharp}<octave>{midi // 12 - 1}</octave></pitch>"


def _as_written(note: Written, head: str) -> str:
    kind, dots, triplet = TYPES[note.length]
    ratio = (
        "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>"
    )
    slur = f'<slur type="{note.slur}" number="1"/>' if note.slur else ""
    accent = "<articulations><accent/></articulations>" if note.accent else ""
    notations = f"<notations>{slur}{accent}</notations>" if slur or accent else ""
    return (
        f"<note>{head}<duration>{note.length}</duration><voice>1</voice><type>{kind}</type>{'<dot/>' * dots}"
        f"{ratio if triplet else ''}{notations}</note>"
    )
