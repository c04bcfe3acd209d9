"""From rows to what the rules are held against."""

from collections.abc import Collection, Sequence
from datetime import datetime

from recordings.models import Bundle, Take
from recordings.sending.choice import Choice
from recordings.sending.facts import ChosenTake, Item, Submission
from recordings.sending.name_words import name_words
from recordings.sending.ways import Source, way
from repertoire.wording.instruments import instrument_name
from studio.models import Entry, Requirement
from studio.sending.names import file_name
from studio.sending.rules import FilePlan, Rules

FORMATS = {
    "audio/mpeg": "mp3",
    "audio/mp4": "m4a",
    "audio/wav": "wav",
    "audio/flac": "flac",
    "audio/ogg": "ogg",
    "audio/aiff": "aiff",
    "audio/aac": "aac",
    "audio/webm": "webm",
    "video/mp4": "mp4",
    "video/webm": "webm",
    "video/ogg": "ogg",
}


def submission_of(
    entry: Entry,
    rules: Rules,
    choices: Sequence[Choice],
    *,
    agreed: bool,
    at: datetime,
    bundle: Bundle | None,
    settled: Collection[str] = (),
) -> Submission:
    """`entry` comes with its student and audition; of a bundle the sizes of the files made are known.

    `settled` are the kinds of statements that stand.
    """
    sizes = {(each["recording"], each["name"]): each["size"] for each in (bundle.contents if bundle else [])}
    items = tuple(
        Item(music_of(choice.requirement), _chosen(entry, rules, number, choice, sizes))
        for number, choice in enumerate(choices, start=1)
    )
    return Submission(
        items=items,
        at=at,
        closes_at=entry.closes_at,
        person=name_words(entry.student.name),
        is_minor=entry.student.is_minor,
        agreed=agreed,
        listened="heard" in settled,
        student_signed="student" in settled,
        guardian_signed="guardian" in settled,
    )


def music_of(requirement: Requirement) -> str:
    """The title, with the bars where only some are asked: one music may be asked twice."""
    title = requirement.excerpt.title
    return f"{title} {requirement.from_bar}-{requirement.to_bar}" if requirement.from_bar else title


def source_of(take: Take) -> Source:
    analysis = getattr(take, "analysis", None)
    return Source(
        format=FORMATS.get(take.media_type, ""),
        has_picture=take.media_type.startswith("video/"),
        size_bytes=take.size,
        duration_s=analysis.duration_s if analysis else None,
    )


def name_of(entry: Entry, rules: Rules, number: int, music: str, ending: str) -> str:
    whole = rules.files == FilePlan.ONE
    facts = {
        "number": str(number),
        "music": entry.audition.name if whole else music,
        "instrument": instrument_name(entry.instrument),
        "level": entry.level,
        "audition": entry.audition.name,
        "entry": str(entry.pk),
        "student": entry.student.name,
    }
    return file_name(rules.name_pattern, facts, ending)


def _chosen(
    entry: Entry, rules: Rules, number: int, choice: Choice, sizes: dict[tuple[str, str], int]
) -> ChosenTake | None:
    take = choice.take
    if take is None:
        return None
    source = source_of(take)
    found = way(rules, source)
    ending = found.format if found else source.format or "bin"
    name = name_of(entry, rules, number, music_of(choice.requirement), ending)
    analysis = getattr(take, "analysis", None)
    return ChosenTake(
        source=source,
        recording=take.sha256,
        name=name,
        complete=analysis.complete if analysis else None,
        whole=take.sound_state == Take.SoundState.WHOLE,
        made_bytes=sizes.get((take.sha256, name)),
    )
