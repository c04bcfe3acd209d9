"""The words of what is said where a copy of everything cannot be made."""

from django.utils.translation import gettext_noop as _

from repertoire.wording.templates import Template

LEAVING: dict[str, Template] = {
    "leaving.copy_no_room": _(
        "The file could not be made: the disk is nearly full. Please tell the studio's director."
    ),
    "leaving.copy_failed": _("The file could not be made. Please try once more."),
}
