"""What a form needs to bring in a score: the file, the part chosen of several, the score kept meanwhile."""

from typing import cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repertoire.library import intake
from repertoire.notation.read.parts import PartChoice, SeveralParts
from repertoire.notation.read.reading import CanonicalScore, read_score_in_child
from repertoire.notation.score import BadScore
from repertoire.wording.words import words

SCORE_FILES = ".musicxml,.mxl,.xml,.mid,.midi,.abc,.krn"


class ScoreFileMixin(forms.Form):
    """`canonical` is the score once it is read well; nothing has to be chosen twice to get there."""

    file = forms.FileField(
        label=gettext_lazy("Score"),
        required=False,
        widget=forms.FileInput(attrs={"accept": SCORE_FILES}),
        help_text=gettext_lazy(
            "MusicXML from your notation program (.musicxml or .mxl) says most. "
            "MIDI, ABC and Humdrum kern are read too."
        ),
    )
    kept_score = forms.CharField(required=False, widget=forms.HiddenInput)
    # The page draws these two itself, and only where there are parts to choose from.
    aside = forms.CharField(required=False, widget=forms.HiddenInput)
    part = forms.CharField(required=False, widget=forms.HiddenInput)

    canonical: CanonicalScore | None = None
    choices: tuple[PartChoice, ...] = ()

    @property
    def music(self) -> CanonicalScore:
        """The score of a form that has read one; LookupError for any other."""
        if self.canonical is None:
            raise LookupError("no score was read")
        return self.canonical

    @property
    def keeps_score(self) -> bool:
        return self.canonical is not None

    @property
    def part_choices(self) -> list[tuple[str, str]]:
        return [(choice.key, _words(choice)) for choice in self.choices]

    def read_score(self, data: dict) -> None:
        """Set `canonical`, or put an error beside the field that needs one."""
        try:
            self.canonical = self._read(data)
        except BadScore as error:
            self.add_error("file", words(error.sentence))
        if self.canonical is not None:
            self._show_as_typed(kept_score=intake.signed(self.canonical))

    def _show_as_typed(self, **fields: str) -> None:
        """The page sends these along next time, beside what the person typed."""
        shown = cast(QueryDict, self.data).copy()
        for name, value in fields.items():
            shown[name] = value
        self.data = shown

    def _read(self, data: dict) -> CanonicalScore | None:
        if data.get("file"):
            return self._read_bytes(intake.upload_bytes(data["file"]), "")
        aside = intake.kept_for_choice(data["aside"]) if data.get("aside") else None
        if aside is not None:
            return self._read_bytes(aside, data.get("part", ""))
        kept = intake.from_signed(data.get("kept_score", "")) if data.get("kept_score") else None
        if kept is None:
            self.add_error("file", _("Please choose the score's file."))
        return kept

    def _read_bytes(self, score: bytes, part: str) -> CanonicalScore | None:
        try:
            return read_score_in_child(score, choice=part or None, ask=True)
        except SeveralParts as several:
            self.choices = several.choices
            self._show_as_typed(aside=intake.keep_for_choice(score), kept_score="")
            self.add_error("part", _("Please choose what is to be played."))
            return None


def _words(choice: PartChoice) -> str:
    size = _("%(bars)s, %(notes)s") % {
        "bars": ngettext("%(count)d bar", "%(count)d bars", choice.bars) % {"count": choice.bars},
        "notes": ngettext("%(count)d note", "%(count)d notes", choice.notes) % {"count": choice.notes},
    }
    part = choice.name or _("Part %(number)s") % {"number": choice.key.partition("v")[0]}
    if choice.voice:
        return _("%(part)s, voice %(voice)s alone: %(size)s") % {
            "part": part,
            "voice": choice.voice,
            "size": size,
        }
    return _("%(part)s: %(size)s") % {"part": part, "size": size}
