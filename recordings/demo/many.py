"""A large invented studio, to measure pages with: rows as years of use leave them, without sounds.

The same seed makes the same studio. Measured documents are left empty: lists never read them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import islice, product
from random import Random

from django.contrib.auth.hashers import make_password
from django.utils import timezone

from recordings.demo.music import FASTEST, SLOWEST, load_excerpts
from recordings.models import Analysis, Mark, Review, Take
from repertoire.models import Caption, Excerpt, Rubric
from studio.models import (
    Audition,
    Consent,
    Entry,
    Guardianship,
    Requirement,
    Role,
    RoleGrant,
    Season,
    Student,
    Studio,
    User,
)

INSTRUMENTS = (
    "violin", "viola", "cello", "double_bass", "flute", "oboe", "clarinet_b_flat", "bassoon", "horn_f",
    "trumpet_b_flat", "trombone", "tuba",
)  # fmt: skip
AUDITIONS = 3
KEYS = ("C", "G", "F", "D")
LEVELS = ("Junior", "Senior")
STUDENTS_A_TEACHER = 25
BATCH = 1000
AT_ONCE = 500
FIRST_NAMES = ("Ada", "Bela", "Carl", "Dora", "Emil", "Frida", "Georg", "Hedda", "Ivo", "Jana")
LAST_NAMES = ("Auer", "Birnbaum", "Castell", "Dornfeld", "Erlbach", "Fichtner", "Gansauer", "Hellwig")


@dataclass(frozen=True, slots=True)
class Loaded:
    students: int
    takes: int


def load_many(*, students: int, takes: int, seed: int, password: str) -> Loaded:
    """Fill an empty studio with `students` and about `takes` takes each."""
    chance, now = Random(seed), timezone.now()
    Studio.objects.create(name="Large Demo Studio", time_zone="Europe/Vienna", invented=True)
    hashed = make_password(password)
    _people([("director", "Director", Role.DIRECTOR)], hashed)
    teachers = _people(
        [(f"teacher{n}", f"Teacher {n}", Role.TEACHER) for n in range(-(-students // STUDENTS_A_TEACHER))],
        hashed,
    )
    taught = _students(students, teachers, hashed, chance)
    requirements = _requirements(_auditions(now), INSTRUMENTS[:students])
    entries = _entries(taught, sorted({each.audition_id for each in requirements}), now, chance)
    return Loaded(len(taught), _takes(entries, requirements, takes, now, chance))


def _people(rows: Sequence[tuple[str, str, str]], hashed: str) -> list[User]:
    users = User.objects.bulk_create(
        [User(email=f"{key}@many.example", name=name, password=hashed) for key, name, _ in rows], BATCH
    )
    grants = [RoleGrant(user=user, role=role) for user, (_, _, role) in zip(users, rows, strict=True)]
    RoleGrant.objects.bulk_create(grants, BATCH)
    return users


def _students(count: int, teachers: list[User], hashed: str, chance: Random) -> list[Student]:
    names = [
        f"{chance.choice(FIRST_NAMES)} {chance.choice(LAST_NAMES)} {number + 1}" for number in range(count)
    ]
    users = _people([(f"student{n}", name, Role.STUDENT) for n, name in enumerate(names)], hashed)
    guardians = _people(
        [(f"guardian{n}", f"Guardian of {name}", Role.GUARDIAN) for n, name in enumerate(names)], hashed
    )
    students = Student.objects.bulk_create(
        [
            Student(
                user=user,
                name=user.name,
                email=user.email,
                instrument=INSTRUMENTS[number % len(INSTRUMENTS)],
                level=chance.choice(LEVELS),
                teacher=teachers[number // STUDENTS_A_TEACHER],
                guardian_email=guardian.email,
            )
            for number, (user, guardian) in enumerate(zip(users, guardians, strict=True))
        ],
        BATCH,
    )
    pairs = list(zip(students, guardians, strict=True))
    Guardianship.objects.bulk_create([Guardianship(guardian=g, student=s) for s, g in pairs], BATCH)
    agreed = [Consent(student=s, given_by=g, wording="Agreed.") for s, g in pairs if chance.random() < 0.9]
    Consent.objects.bulk_create(agreed, BATCH)
    return students


def _auditions(now: datetime) -> list[Audition]:
    today = timezone.localdate(now)
    season = Season.objects.create(
        name="Large season", starts_on=today - timedelta(days=90), ends_on=today + timedelta(days=90)
    )
    return [
        Audition.objects.create(
            season=season,
            name=f"Audition {number}",
            held_on=today + timedelta(days=20 * number + 12),
            closes_at=now + timedelta(days=20 * number + 10),
        )
        for number in range(1, AUDITIONS + 1)
    ]


def _requirements(auditions: list[Audition], instruments: Sequence[str]) -> list[Requirement]:
    """Four scale sheets an instrument and level, some due already and some soon."""
    spec = {"kind": "major", "octaves": 1, "arpeggio": False, "note_value": "quarter", "slur": 0}
    sheets = {
        f"{instrument} {key}": {
            "key": f"{instrument} {key}",
            "instrument": instrument,
            "bpm": 80,
            "scale": {**spec, "tonic": key},
        }
        for instrument, key in product(instruments, KEYS)
    }
    excerpts = load_excerpts({"excerpts": list(sheets.values())})
    rubric = Rubric.objects.filter(serves=Excerpt.Kind.SCALE).earliest("pk")
    asked = []
    for audition, level, (number, excerpt) in product(auditions, LEVELS, enumerate(excerpts.values())):
        due = audition.closes_at - timedelta(days=24 - 7 * (number % len(KEYS)))
        asked.append(
            Requirement(
                audition=audition,
                instrument=excerpt.instrument,
                level=level,
                excerpt=excerpt,
                rubric=rubric,
                marked_bpm=excerpt.marked_bpm,
                low_bpm=round(excerpt.marked_bpm * SLOWEST),
                high_bpm=round(excerpt.marked_bpm * FASTEST),
                due_at=due,
            )
        )
    return Requirement.objects.bulk_create(asked, BATCH)


def _entries(students: list[Student], auditions: list[int], now: datetime, chance: Random) -> list[Entry]:
    return Entry.objects.bulk_create(
        [
            Entry(
                student=student,
                audition_id=audition,
                instrument=student.instrument,
                level=student.level,
                made_at=now - timedelta(days=60),
            )
            for student in students
            for audition in chance.sample(auditions, 2 if chance.random() < 0.25 else 1)
        ],
        BATCH,
    )


def _takes(
    entries: list[Entry], requirements: list[Requirement], each: int, now: datetime, chance: Random
) -> int:
    """Every entry of a student gets its share; most are answered, the last ones often wait."""
    carried: dict[tuple, list[Requirement]] = {}
    for requirement in requirements:
        key = (requirement.audition_id, requirement.instrument, requirement.level)
        carried.setdefault(key, []).append(requirement)
    shares: dict[int, list[Entry]] = {}
    for entry in entries:
        shares.setdefault(entry.student_id, []).append(entry)
    made = 0
    planned = _planned(shares, carried, each, now, chance)
    while rows := list(islice(planned, AT_ONCE)):
        made += _store(rows, chance)
    return made


def _planned(shares, carried, each: int, now: datetime, chance: Random) -> Iterator[Take]:
    for number, entries in enumerate(shares.values()):
        for count in range(each):
            entry = entries[count % len(entries)]
            asked = carried[entry.audition_id, entry.instrument, entry.level]
            requirement = asked[min(int(chance.random() ** 1.5 * len(asked)), len(asked) - 1)]
            hours = (each - count) * 60 * 24 / each - chance.random() * 20
            yield Take(
                entry=entry,
                requirement=requirement,
                uploaded_at=now - timedelta(hours=hours),
                sound="takes/none",
                sha256=f"{number:032x}{count:032x}",
                size=1000,
                media_type="audio/wav",
            )


def _store(takes: list[Take], chance: Random) -> int:
    Take.objects.bulk_create(takes)
    Analysis.objects.bulk_create([_measured(take, chance) for take in takes])
    answered = [take for take in takes if chance.random() < _answered_share(take)]
    reviews = Review.objects.bulk_create([_answer(take) for take in answered])
    captions = list(takes[0].requirement.rubric.captions.all())
    Mark.objects.bulk_create(_marks(reviews, captions, chance))
    return len(takes)


def _measured(take: Take, chance: Random) -> Analysis:
    return Analysis(
        take=take,
        state=Analysis.State.DONE,
        created_at=take.uploaded_at,
        heartbeat_at=take.uploaded_at,
        finished_at=take.uploaded_at + timedelta(minutes=1),
        result={},
        duration_s=round(chance.uniform(20, 60), 1),
        metronome_bpm=round(chance.gauss(80, 4), 1),
        share_played=1.0,
        complete=chance.random() < 0.92,
        right_share=round(chance.uniform(0.85, 1.0), 3),
        unusable=Analysis.Unusable.SILENT if chance.random() < 0.01 else "",
    )


def _answered_share(take: Take) -> float:
    """Nearly all older takes; of the last days' about half."""
    return 0.97 if take.uploaded_at < timezone.now() - timedelta(days=5) else 0.5


def _answer(take: Take) -> Review:
    at = take.uploaded_at + timedelta(days=1)
    return Review(
        take=take, state=Review.State.RELEASED, created_at=take.uploaded_at, released_at=at, saved_at=at
    )


def _marks(reviews: list[Review], captions: Sequence[Caption], chance: Random) -> list[Mark]:
    marks = []
    for review in reviews:
        middle = chance.uniform(6.0, 9.5)
        for caption in captions:
            value = min(10, max(1, round(chance.gauss(middle, 0.8))))
            marks.append(Mark(review=review, caption=caption, value=value))
    return marks
