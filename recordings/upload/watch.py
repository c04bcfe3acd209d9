"""The nightly check that every kept sound is still what was handed in, and the mail to the directors."""

import logging
from dataclasses import dataclass

from django.core.cache import caches
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from recordings.models import Take
from recordings.upload.room import is_low
from recordings.upload.stored import lies_there
from studio.models import Entry, Role, Studio, User
from studio.services.mail import send_from_template
from studio.setup.messages import tell_workers

log = logging.getLogger(__name__)

# Each night the bytes of every seventh take are read whole: all of them within a week.
NIGHTS = 7
DAY_S = 24 * 3600
TELL_TASK = "recordings.tell_directors"


@dataclass(frozen=True, slots=True)
class Checked:
    """How many takes were looked at, and the ids of those newly found missing or changed."""

    count: int
    missing: tuple[int, ...]
    changed: tuple[int, ...]


def check_sounds(*, everything: bool = False) -> Checked:
    """Look for every take's file and compare its size; of this night's share compare the bytes too."""
    tonight = timezone.localdate().toordinal() % NIGHTS
    count = 0
    found: dict[str, list[int]] = {state: [] for state in Take.SoundState.values}
    for take in Take.objects.only("pk", "sound", "size", "sha256", "sound_state").iterator(200):
        count += 1
        state = state_of(take, thoroughly=everything or take.pk % NIGHTS == tonight)
        if state != take.sound_state:
            Take.objects.filter(pk=take.pk).update(sound_state=state)
            found[state].append(take.pk)
    missing, changed = found[Take.SoundState.MISSING], found[Take.SoundState.CHANGED]
    for pk in (*missing, *changed):
        log.error("The sound of take %s is missing or not what was handed in.", pk)
    return Checked(count, tuple(missing), tuple(changed))


def state_of(take: Take, *, thoroughly: bool) -> str:
    storage, name = take.sound.storage, take.sound.name or ""
    if not name or not storage.exists(name):
        return Take.SoundState.MISSING
    if storage.size(name) != take.size:
        return Take.SoundState.CHANGED
    if thoroughly and not lies_there(storage, name, size=take.size, sha256=take.sha256):
        return Take.SoundState.CHANGED
    # What was found changed stays so until its bytes were compared again.
    known_changed = take.sound_state == Take.SoundState.CHANGED
    return Take.SoundState.CHANGED if known_changed and not thoroughly else Take.SoundState.WHOLE


def tell_of_full_disk() -> None:
    """Have the directors told by the workers, once a day."""
    if caches["default"].add("full-disk-mailed", True, DAY_S) and not tell_workers(TELL_TASK):
        caches["default"].delete("full-disk-mailed")


def refuse_for_room(entry: Entry) -> str:
    """Tell the directors; the sentence for who wanted to hand in a take of `entry`."""
    tell_of_full_disk()
    log.error("A take for entry %s was not accepted: the disk is nearly full.", entry.pk)
    return _(
        "The studio has no room for more recordings right now, so this one was not kept. Keep it on your "
        "phone and send it again later; the studio's directors have been told."
    )


def tell_directors(checked: Checked | None = None) -> int:
    """Mail the directors what needs them: sounds newly lost, disks nearly full. How many are written."""
    lost = len(checked.missing) + len(checked.changed) if checked else 0
    low = is_low()
    if not lost and not low:
        return 0
    directors, studio = list(User.objects.with_role(Role.DIRECTOR)), Studio.current()
    for director in directors:
        with translation.override(studio.language_for(director)):
            send_from_template("watch", to=director.email, context={"lost": lost, "low": low})
    return len(directors)
