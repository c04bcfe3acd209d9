"""One entry's files from its takes: made, looked at again, listed with their checksums, and put in one zip.

The takes are only read. A minor's takes are not touched without a standing agreement of a guardian.
"""

import json
import logging
import shutil
import tempfile
import uuid
import zipfile
from dataclasses import asdict, dataclass
from pathlib import Path

from recordings.models import Bundle, Take
from recordings.sending import sentences as say
from recordings.sending.bundle_list import list_text
from recordings.sending.choice import Choice, choices_of
from recordings.sending.gather import music_of, name_of, source_of
from recordings.sending.keep import keep
from recordings.sending.page import rules_of
from recordings.sending.ways import How, Way, way
from recordings.upload.on_disk import on_disk
from recordings.upload.room import has_room_for
from recordings.upload.stored import CHUNK, counted_hash
from repertoire.notation.bounded import Ending, ProcessLimits, run
from repertoire.notation.sentence import Sentence
from studio.models import Entry
from studio.sending.rules import FilePlan, Rules

log = logging.getLogger(__name__)

LIMITS = ProcessLimits(time_s=300.0, memory_mb=1500)
# One frame of MP3 (1,152 samples) at 22,050 Hz: a coded sound ends on a whole frame.
FRAME_S = 1152 / 22050
LIST, SUMS = "list.txt", "SHA256SUMS"


class CannotMake(Exception):
    """No files are made; `sentence` is for the person."""

    def __init__(self, sentence: Sentence) -> None:
        super().__init__(str(sentence))
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class MadeFile:
    """One file of a bundle; `was` and `how` tell what was done with the take, whose hash is `recording`."""

    name: str
    music: str
    take: int
    recording: str
    how: str
    was: str
    sha256: str
    size: int
    duration_s: float | None


def make(bundle_id: int) -> bool:
    """Make the files if they are to be had; True where this call made them."""
    bundle = Bundle.objects.filter(pk=bundle_id).first()
    worker = uuid.uuid4().hex
    if bundle is None or not bundle.claim_for(worker):
        return False
    try:
        with tempfile.TemporaryDirectory(prefix="sending-") as folder:
            return _make(bundle, worker, Path(folder))
    except CannotMake as refused:
        bundle.mark_failed(worker, refused.sentence)
        return False
    except Exception:
        bundle.mark_failed(worker, say.MAKE_FAILED())
        raise


def _make(bundle: Bundle, worker: str, folder: Path) -> bool:
    entry = Entry.objects.select_related("student", "audition").get(pk=bundle.entry_id)
    if not entry.student.may_record:
        raise CannotMake(say.MAKE_NOT_AGREED())
    rules = rules_of(entry.audition_id) or Rules()
    choices = choices_of([entry], order=rules.order)[entry.pk]
    if rules.files == FilePlan.ONE:
        choices = _one_recording(choices)
    # The files, the zip of them, and its copy in the storage.
    if not has_room_for(3 * sum(choice.take.size for choice in choices if choice.take)):
        raise CannotMake(say.MAKE_NO_ROOM())
    made = []
    for number, choice in enumerate(choices, start=1):
        made.append(_file(entry, rules, number, choice, folder))
        if not bundle.write_heartbeat(worker, progress_percent=round(90 * number / len(choices))):
            return False
    archive = _zip(folder, made, list_text(entry, made))
    return keep(bundle, worker, archive, contents=[asdict(each) for each in made])


def _one_recording(choices: list[Choice]) -> list[Choice]:
    """The first stands for all, where all are the same recording."""
    if len({choice.take.sha256 if choice.take else "" for choice in choices}) > 1:
        raise CannotMake(say.SEVERAL_RECORDINGS(count=len(choices)))
    return choices[:1]


def _file(entry: Entry, rules: Rules, number: int, choice: Choice, folder: Path) -> MadeFile:
    music, take = music_of(choice.requirement), choice.take
    if take is None:
        raise CannotMake(say.MAKE_NO_TAKE(music=music))
    source = source_of(take)
    found = way(rules, source)
    if found is None:
        raise CannotMake(say.MAKE_NO_WAY(music=music))
    name = name_of(entry, rules, number, music, found.format or "bin")
    target = folder / name
    with on_disk(take) as path:
        _require_whole(path, take, music)
        if found.how is How.KEEP:
            shutil.copyfile(path, target)
            length_s = source.duration_s
        else:
            length_s = _made(path, target, found, music, strips=rules.strips_metadata)
    with target.open("rb") as file:
        size, sha256 = counted_hash(iter(lambda: file.read(CHUNK), b""))
    return MadeFile(name, music, take.pk, take.sha256, found.how.value, source.format, sha256, size, length_s)


def _require_whole(path: Path, take: Take, music: str) -> None:
    with path.open("rb") as file:
        if counted_hash(iter(lambda: file.read(CHUNK), b"")) != (take.size, take.sha256):
            raise CannotMake(say.MAKE_DAMAGED(music=music))


def _made(path: Path, target: Path, found: Way, music: str, *, strips: bool) -> float:
    """Its length in seconds, after the file was read again."""
    ended = run(
        "recordings.sending.make_child", str(path), str(target), json.dumps(asdict(found)), limits=LIMITS
    )
    if ended.how is not Ending.FINISHED:
        log.warning("A file for sending could not be made: %s", ended.how.value)
        raise CannotMake(say.MAKE_FAILED())
    answer = json.loads(ended.output)
    if answer["verdict"] != "made":
        raise CannotMake(say.MAKE_NO_WAY(music=music))
    if abs(answer["made_s"] - answer["source_s"]) > FRAME_S:
        raise CannotMake(say.MAKE_OTHER_LENGTH(music=music))
    if strips and answer["tags"]:
        raise CannotMake(say.MAKE_TELLS(music=music))
    return answer["made_s"]


def _zip(folder: Path, made: list[MadeFile], text: str) -> Path:
    """Stored, not packed: sound hardly gets smaller. The same files give the same bytes."""
    texts = {LIST: text, SUMS: "".join(f"{each.sha256}  {each.name}\n" for each in made)}
    path = folder / f"{uuid.uuid4().hex}.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        for each in made:
            kept = zipfile.ZipInfo(each.name)
            with (
                (folder / each.name).open("rb") as file,
                archive.open(kept, "w", force_zip64=True) as member,
            ):
                shutil.copyfileobj(file, member, CHUNK)
        for name, content in texts.items():
            archive.writestr(zipfile.ZipInfo(name), content.encode())
    return path
