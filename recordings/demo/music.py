"""The demo's music and what its auditions ask of it: excerpts, scale sheets, requirements, entries."""

from decimal import Decimal

from recordings.demo.plan import FIXTURES, Calendar
from repertoire.library.intake import keep_music, tempo_in_score
from repertoire.models import Excerpt, Rubric
from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.read.reading import CanonicalScore, read_score
from repertoire.notation.write.scales import ScaleSpec, scale_sheet
from repertoire.wording.words import words
from studio.models import Audition, Entry, Requirement, Season, SendingRules, Student

SLOWEST, FASTEST = Decimal("0.92"), Decimal("1.08")  # of the marked tempo


def load_excerpts(plan: dict) -> dict[str, Excerpt]:
    return {row["key"]: _scale(row) if "scale" in row else _etude(row) for row in plan["excerpts"]}


def _etude(row: dict) -> Excerpt:
    path = FIXTURES / "scores" / row["score"]
    canonical = read_score(path.read_bytes(), filename=path.name)
    tempo = tempo_in_score(canonical.score)
    if tempo is None:
        raise LookupError(f"{path.name} begins without a metronome mark")
    return _keep(canonical, row, kind=Excerpt.Kind.ETUDE, marked_bpm=tempo.bpm, beat_unit=tempo.beat_unit)


def _scale(row: dict) -> Excerpt:
    spec = ScaleSpec(**row["scale"], instrument=INSTRUMENTS[row["instrument"]], bpm=row["bpm"])
    canonical = scale_sheet(spec, title=words)
    return _keep(
        canonical,
        row,
        kind=Excerpt.Kind.SCALE,
        marked_bpm=Decimal(row["bpm"]),
        beat_unit=Excerpt.BeatUnit.QUARTER,
        scale_spec=row["scale"],
    )


def _keep(canonical: CanonicalScore, row: dict, **fields) -> Excerpt:
    score = canonical.score
    excerpt, _new = keep_music(
        canonical, title=score.title, instrument=row["instrument"], composer=score.composer, **fields
    )
    return excerpt


def load_season(plan: dict, calendar: Calendar) -> Season:
    row = plan["season"]
    return Season.objects.create(
        name=row["name"], starts_on=calendar.day(row["starts"]), ends_on=calendar.day(row["ends"])
    )


ENTERED_DAY = -40


def load_auditions(
    plan: dict, season: Season, excerpts: dict[str, Excerpt], students: dict[str, Student], calendar: Calendar
) -> tuple[dict[str, Requirement], dict[tuple[str, int], Entry]]:
    """Requirements by key, and entries by student key and audition id."""
    requirements: dict[str, Requirement] = {}
    entries: dict[tuple[str, int], Entry] = {}
    for row in plan["auditions"]:
        audition = Audition.objects.create(
            season=season,
            name=row["name"],
            kind=row["kind"],
            held_on=calendar.day(row["held"]),
            closes_at=calendar.at(row["closes"], row["closes_hour"]),
            notes=row["notes"],
        )
        if "sending_rules" in row:
            SendingRules.objects.create(audition=audition, **row["sending_rules"])
        for asked in row["requirements"]:
            requirements[asked["key"]] = _requirement(asked, audition, excerpts[asked["excerpt"]], calendar)
        for key in row["entries"]:
            student = students[key]
            entries[key, audition.pk] = Entry.objects.create(
                student=student,
                audition=audition,
                instrument=student.instrument,
                level=student.level,
                made_at=calendar.at(ENTERED_DAY),
            )
    return requirements, entries


def _requirement(row: dict, audition: Audition, excerpt: Excerpt, calendar: Calendar) -> Requirement:
    bpm = Decimal(row.get("bpm", excerpt.marked_bpm))
    from_bar, to_bar = row.get("bars", ("", ""))
    return Requirement.objects.create(
        audition=audition,
        instrument=excerpt.instrument,
        level=row["level"],
        excerpt=excerpt,
        rubric=Rubric.objects.filter(serves=excerpt.kind).earliest("pk"),
        marked_bpm=bpm,
        low_bpm=round(bpm * SLOWEST),
        high_bpm=round(bpm * FASTEST),
        from_bar=from_bar,
        to_bar=to_bar,
        due_at=calendar.at(row["due"], 20),
    )
