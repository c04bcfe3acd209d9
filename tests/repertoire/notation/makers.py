"""Small MusicXML texts made for the tests: four quarters a bar unless said otherwise."""

import io
import zipfile

CONTAINER = (
    '<?xml version="1.0"?><container><rootfiles><rootfile full-path="{path}" '
    'media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>'
)


def note(
    step: str = "C",
    octave: int = 5,
    duration: int = 2,
    *,
    alter: int = 0,
    kind: str = "quarter",
    head: str = "",
    after_duration: str = "",
    notations: str = "",
    voice: int = 1,
) -> str:
    """One `<note>`; `head` goes before the pitch (chord, grace), `after_duration` after it (ties)."""
    alter_xml = f"<alter>{alter}</alter>" if alter else ""
    length = "" if "<grace" in head else f"<duration>{duration}</duration>"
    marks = f"<notations>{notations}</notations>" if notations else ""
    return (
        f"<note>{head}<pitch><step>{step}</step>{alter_xml}<octave>{octave}</octave></pitch>"
        f"{length}{after_duration}<voice>{voice}</voice><type>{kind}</type>{marks}</note>"
    )


def rest(duration: int = 2, *, voice: int = 1) -> str:
    return f"<note><rest/><duration>{duration}</duration><voice>{voice}</voice></note>"


def attributes(
    *,
    fifths: int = 0,
    mode: str = "major",
    beats: int = 4,
    beat_type: int = 4,
    transpose: str = "",
    divisions: int = 2,
) -> str:
    return (
        f"<attributes><divisions>{divisions}</divisions>"
        f"<key><fifths>{fifths}</fifths><mode>{mode}</mode></key>"
        f"<time><beats>{beats}</beats><beat-type>{beat_type}</beat-type></time>"
        f"<clef><sign>G</sign><line>2</line></clef>{transpose}</attributes>"
    )


def repeat_start() -> str:
    return '<barline location="left"><repeat direction="forward"/></barline>'


def repeat_end(times: int = 0) -> str:
    extra = f' times="{times}"' if times else ""
    return f'<barline location="right"><repeat direction="backward"{extra}/></barline>'


def ending(number: str, kind: str, *, repeat: bool = False) -> str:
    """An ending's bracket at the left (start) or right (stop, discontinue) of a bar."""
    side = "left" if kind == "start" else "right"
    again = '<repeat direction="backward"/>' if repeat else ""
    return f'<barline location="{side}"><ending number="{number}" type="{kind}"/>{again}</barline>'


def jump(words: str, sound: str) -> str:
    """A printed direction with its sounding meaning, as notation programs write it."""
    return f"<direction><direction-type>{words}</direction-type><sound {sound}/></direction>"


def words(text: str) -> str:
    return f"<words>{text}</words>"


def bars(count: int, marks: dict[int, tuple[str, str]] | None = None, *, first: str = "") -> list[str]:
    """`count` bars of four different quarters; `marks[n]` = (before, after) the notes of bar n (from 1)."""
    marks = marks or {}
    steps = "CDEFGAB"
    result = []
    for number in range(1, count + 1):
        before, after = marks.get(number, ("", ""))
        head = (first or attributes()) if number == 1 else ""
        body = "".join(note(steps[(number + k) % 7]) for k in range(4))
        result.append(f'<measure number="{number}">{head}{before}{body}{after}</measure>')
    return result


def part(measures: list[str], *, part_id: str = "P1") -> str:
    return f'<part id="{part_id}">{"".join(measures)}</part>'


def score(*parts: str, names: tuple[str, ...] = ("Violin",), head: str = "") -> bytes:
    """A whole score-partwise document of the given parts."""
    listed = "".join(
        f'<score-part id="P{k}"><part-name>{name}</part-name></score-part>' for k, name in enumerate(names, 1)
    )
    body = f"<part-list>{listed}</part-list>{''.join(parts)}"
    return (
        '<?xml version="1.0" encoding="UTF-8"?>'
        '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
        '"http://www.musicxml.org/dtds/partwise.dtd">'
        f'<score-partwise version="4.0">{head}{body}</score-partwise>'
    ).encode()


def piece(count: int, marks: dict[int, tuple[str, str]] | None = None, **kwargs: str) -> bytes:
    """A one-part score of `count` bars with the given marks."""
    return score(part(bars(count, marks, **kwargs)))


def zipped(members: dict[str, bytes], *, root: str | None = "score.xml") -> bytes:
    """An .mxl: a zip with its container naming `root` (none when `root` is None)."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        if root is not None:
            archive.writestr("META-INF/container.xml", CONTAINER.format(path=root))
        for name, content in members.items():
            archive.writestr(name, content)
    return out.getvalue()
