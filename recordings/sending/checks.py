"""Whether what is to be sent keeps the body's rules: one sentence a rule, or a broken rule and file.

Pure: facts in, sentences out; no clock, no database, no file. What no measurement can tell (what is said in
a recording, whether one recording holds everything) is left open for a person to hear.
"""

from collections.abc import Callable

from recordings.sending import sentences as say
from recordings.sending.facts import Check, Found, Submission, broken, files_of, kept, left_open, or_kept
from recordings.sending.limits import bit_rates, lengths, sizes
from recordings.sending.name_words import tells_person
from recordings.sending.ways import How, Source, Way, way
from repertoire.notation.sentence import Sentence
from studio.sending.rules import Announcement, FilePlan, Picture, Rules


def check(rules: Rules, submission: Submission) -> list[Check]:
    """In the order of the rules' own page; what the body says nothing about is not mentioned."""
    found: list[Check] = []
    for part in (_agreement, _takes, _together, _playing, _pictures, _formats):
        found += part(rules, submission)
    for part in (lengths, sizes, bit_rates, _names, _listening, _statements, _closing):
        found += part(rules, submission)
    return found


def asks_to_listen(rules: Rules) -> bool:
    """Whether somebody has to hear what is sent before it can be."""
    return rules.files == FilePlan.ONE or rules.announcement != Announcement.FREE


def asks_guardian(rules: Rules, *, is_minor: bool) -> bool:
    return bool(rules.guardian_statement) and is_minor


def _agreement(rules: Rules, submission: Submission) -> Found:
    if submission.is_minor:
        yield kept(say.AGREED()) if submission.agreed else broken(say.NOT_AGREED())


def _takes(rules: Rules, submission: Submission) -> Found:
    missing = [broken(say.NO_TAKE(music=item.music)) for item in submission.items if item.take is None]
    yield from or_kept(missing, say.CHOSEN())


def _together(rules: Rules, submission: Submission) -> Found:
    if rules.files == FilePlan.ONE:
        count = len({item.take.recording for item in submission.items if item.take})
        if count:
            one = count == 1
            yield kept(say.ONE_RECORDING()) if one else broken(say.SEVERAL_RECORDINGS(count=count))
    elif rules.most_files:
        count, most = len(submission.items), rules.most_files
        told = {"count": count, "most": most}
        yield kept(say.FILES_FIT(**told)) if count <= most else broken(say.TOO_MANY_FILES(**told))


def _playing(rules: Rules, submission: Submission) -> Found:
    files = files_of(rules, submission)
    yield from (broken(say.DAMAGED(music=music)) for music, take in files if not take.whole)
    # Of one recording with everything, measured beside one piece, nothing is known of the whole.
    if files and rules.files == FilePlan.EACH:
        found = [broken(say.NOT_COMPLETE(music=music)) for music, take in files if take.complete is False]
        found += [
            left_open(say.COMPLETE_UNKNOWN(music=music)) for music, take in files if take.complete is None
        ]
        yield from or_kept(found, say.COMPLETE())


def _pictures(rules: Rules, submission: Submission) -> Found:
    files = files_of(rules, submission)
    if not files or rules.picture == Picture.EITHER:
        return
    with_picture = [music for music, take in files if take.source.has_picture]
    without = [music for music, take in files if not take.source.has_picture]
    if rules.picture == Picture.VIDEO:
        yield from or_kept([broken(say.NO_PICTURE(music=music)) for music in without], say.HAS_PICTURE())
    else:
        left_out = [kept(say.PICTURE_LEFT_OUT(music=music)) for music in with_picture]
        yield from or_kept(left_out, say.SOUND_ALONE())


def _formats(rules: Rules, submission: Submission) -> Found:
    files = files_of(rules, submission)
    formats = tuple(name.upper() for name in rules.allowed)
    told = [
        each
        for music, take in files
        if not (rules.picture == Picture.VIDEO and not take.source.has_picture)
        for each in _way_told(music, take.source, way(rules, take.source), formats)
    ]
    if told:
        yield from told
    elif files and rules.formats and all(way(rules, take.source) for _, take in files):
        yield kept(say.FORMAT_FITS(formats=formats))
    if files and rules.strips_metadata:
        yield kept(say.METADATA_REMOVED())


def _way_told(music: str, source: Source, found: Way | None, formats: tuple[str, ...]) -> Found:
    was = source.format.upper() or "?"
    if found is None:
        yield broken(say.NO_WAY(music=music, was=was, formats=formats))
    elif found.has_loss:
        becomes, kbps = found.format.upper(), found.kbps or 0
        yield kept(say.CONVERTED_WITH_LOSS(music=music, was=was, becomes=becomes, kbps=kbps))
    elif found.how is How.ENCODE or found.format != source.format:
        yield kept(say.CONVERTED(music=music, was=was, becomes=found.format.upper()))


def _names(rules: Rules, submission: Submission) -> Found:
    names = [take.name for _, take in files_of(rules, submission)]
    telling = [name for name in names if rules.judged_blind and tells_person(name, submission.person)]
    if names:
        found = [broken(say.NAME_TELLS(name=name)) for name in telling]
        yield from or_kept(found, say.NAMES_FIT(example=names[0]))


def _listening(rules: Rules, submission: Submission) -> Found:
    def heard(told: Callable[[], Sentence], ask: Callable[[], Sentence]) -> Check:
        return kept(told()) if submission.listened else left_open(ask())

    if rules.files == FilePlan.ONE:
        musics = tuple(item.music for item in submission.items)
        yield heard(lambda: say.IN_ORDER(musics=musics), lambda: say.LISTEN_ORDER(musics=musics))
    if rules.announcement == Announcement.REQUIRED:
        yield heard(say.ANNOUNCED, say.LISTEN_ANNOUNCED)
    if rules.announcement == Announcement.FORBIDDEN:
        yield heard(say.NOBODY_SPEAKS, say.LISTEN_NOBODY_SPEAKS)


def _statements(rules: Rules, submission: Submission) -> Found:
    if rules.student_statement:
        signed = submission.student_signed
        yield kept(say.STUDENT_SIGNED()) if signed else left_open(say.STUDENT_TO_SIGN())
    if asks_guardian(rules, is_minor=submission.is_minor):
        signed = submission.guardian_signed
        yield kept(say.GUARDIAN_SIGNED()) if signed else left_open(say.GUARDIAN_TO_SIGN())


def _closing(rules: Rules, submission: Submission) -> Found:
    yield kept(say.IN_TIME()) if submission.at <= submission.closes_at else broken(say.CLOSED())
