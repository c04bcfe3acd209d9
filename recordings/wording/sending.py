"""The words of what is said of an entry beside the rules of the body it is sent to."""

from django.utils.translation import gettext_noop as _

from repertoire.wording.templates import Plural, Template

SENDING: dict[str, Template] = {
    "sending.agreed": _("A guardian has agreed to the recordings."),
    "sending.not_agreed": _("No guardian has agreed to the recordings yet, so nothing can be sent."),
    "sending.chosen": _("A take is chosen for each requirement."),
    "sending.no_take": _("“{music}”: there is no take to send yet."),
    "sending.one_recording": _("One recording stands for everything; nothing is joined."),
    "sending.several_recordings": _(
        "The body takes one file with everything, recorded in one go, and here are {count} recordings. "
        "Nothing is ever joined: please choose one recording that holds everything."
    ),
    "sending.files_fit": Plural("One file, of at most {most}.", "{count} files, of at most {most}."),
    "sending.too_many_files": Plural(
        "One file would be sent, but the body takes at most {most}.",
        "{count} files would be sent, but the body takes at most {most}.",
    ),
    "sending.complete": _("Every take was heard from its first bar to its last."),
    "sending.not_complete": _("“{music}”: not all bars were heard in this take."),
    "sending.complete_unknown": _(
        "“{music}”: whether the take is complete could not be measured. Please listen."
    ),
    "sending.damaged": _(
        "“{music}”: the stored recording is not what was handed in any more. Please choose another take."
    ),
    "sending.has_picture": _("Every file is a video."),
    "sending.no_picture": _("“{music}”: the body takes video, and this take is sound alone."),
    "sending.picture_left_out": _("“{music}”: the body takes sound alone, so the picture is left out."),
    "sending.sound_alone": _("Sound alone, as the body takes it."),
    "sending.format_fits": _("The format is one of {formats}."),
    "sending.converted": _(
        "“{music}”: {was} becomes {becomes} without loss when the files are made; the take stays."
    ),
    "sending.converted_with_loss": _(
        "“{music}”: {was} becomes {becomes} with {kbps} kbit/s when the files are made; the take stays."
    ),
    "sending.no_way": _(
        "“{music}”: {was} cannot be made into any of {formats} here. Please hand in the take in one of these."
    ),
    "sending.not_longer": _("No file is longer than {most} minutes."),
    "sending.too_long": _("“{music}”: {length} minutes, and {most} is the longest. Nothing is cut here."),
    "sending.not_shorter": _("No file is shorter than {least} minutes."),
    "sending.too_short": _("“{music}”: {length} minutes, and {least} is the shortest."),
    "sending.length_unknown": _("“{music}”: its length is not measured yet."),
    "sending.together_not_longer": _("All together {length} minutes, of at most {most}."),
    "sending.together_too_long": _("All together {length} minutes, and {most} is the longest."),
    "sending.small_enough": _("No file is larger than {most} MB."),
    "sending.too_large": _("“{music}”: {size} MB, and {most} MB is the largest."),
    "sending.together_small_enough": _("All together not larger than {most} MB."),
    "sending.together_too_large": _("All together {size} MB, and {most} MB is the largest."),
    "sending.size_when_made": _("“{music}”: its size is known once the files are made."),
    "sending.rate_fits": _("The bit rate is within what the body takes."),
    "sending.rate_low": _("“{music}”: {kbps} kbit/s, and {least} is the lowest. Please record it finer."),
    "sending.rate_high": _("“{music}”: {kbps} kbit/s, and {most} is the highest."),
    "sending.rate_unknown": _("“{music}”: the bit rate of its sound cannot be told here. Please look at it."),
    "sending.names_fit": _("The files are named as the body asks, such as “{example}”."),
    "sending.name_tells": _("The name of the file “{name}” tells who plays, and the body judges blind."),
    "sending.metadata_removed": _("What a file says of itself (title, artist, place) is removed."),
    "sending.in_order": _("Somebody has heard that the recording holds, in this order: {musics}."),
    "sending.listen_order": _("Please listen whether the recording holds, in this order: {musics}."),
    "sending.announced": _("Somebody has heard the announcement at the start."),
    "sending.listen_announced": _("Please listen whether name and music are announced at the start."),
    "sending.nobody_speaks": _("Somebody has heard that nobody speaks or is named."),
    "sending.listen_nobody_speaks": _("Please listen whether anybody speaks or is named."),
    "sending.student_signed": _("The student has signed the statement for these takes."),
    "sending.student_to_sign": _("The student's statement for these takes is still to be signed."),
    "sending.guardian_signed": _("A guardian has signed the statement for these takes."),
    "sending.guardian_to_sign": _("No guardian has signed the statement for these takes yet."),
    "sending.in_time": _("The closing time is still ahead."),
    "sending.closed": _("The closing time has passed."),
    "sending.only_answered": _("The only take that is answered."),
    "sending.best_answered": _("The best marked of {count} answered takes; complete ones come first."),
    "sending.ready_answered": _("Of {count} answered takes, one that is everything that is asked."),
    "sending.latest_unanswered": _("The latest take; none is answered yet."),
    "sending.make_not_agreed": _("No files were made: no guardian's agreement stands."),
    "sending.make_no_take": _("No files were made: “{music}” has no take to send."),
    "sending.make_no_way": _(
        "No files were made: “{music}” cannot be brought into a format the body takes. Please choose "
        "another take."
    ),
    "sending.make_other_length": _(
        "No files were made: “{music}” came out with another length than its take. Please tell who runs "
        "this program."
    ),
    "sending.make_tells": _(
        "No files were made: what “{music}” says of itself could not be removed. Please choose another take."
    ),
    "sending.make_damaged": _(
        "No files were made: the stored recording of “{music}” is not what was handed in any more."
    ),
    "sending.make_no_room": _(
        "No files were made: the disk is nearly full. Please tell who runs this program."
    ),
    "sending.make_failed": _("The files could not be made. Please try once more."),
}
