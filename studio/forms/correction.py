"""A corrected score for kept music: read, held against the old one, and confirmed."""

from dataclasses import replace

from django import forms
from django.utils.translation import gettext as _

from repertoire.forms.score_file import ScoreFileMixin
from repertoire.library.comparison import changes_between
from repertoire.library.correction import as_kept, lost_notes
from repertoire.library.fit import range_questions
from repertoire.models import Excerpt
from studio.services.correction import AskedBars, correct_and_ask_anew, lost_bars


class CorrectionForm(ScoreFileMixin):
    """Valid once the score is read; saved only when it was also confirmed as it is shown."""

    confirm = forms.BooleanField(required=False, widget=forms.HiddenInput)
    before = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args, excerpt: Excerpt, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.excerpt = excerpt
        self.changes: list[str] = []
        self.questions: list[str] = []
        self.lost_bars: list[AskedBars] = []
        self.lost_notes = 0
        self.keeps_transposition = False
        self.bars: list[AskedBars] = []

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        if "file" in self.errors:
            return data
        if data.get("file") or data.get("part"):
            data["confirm"] = False  # what it changes has not been seen yet
        self.read_score(data)
        if self.canonical is not None:
            self.canonical, self.keeps_transposition = as_kept(self.excerpt, self.canonical)
            self._compare(data)
        return data

    def _compare(self, data: dict) -> None:
        score = self.music.score
        if Excerpt.hash_of(self.music.musicxml) == self.excerpt.content_hash:
            self.add_error("file", _("This is the music as it is kept already; nothing would change."))
            return
        same = Excerpt.objects.filter(
            title=self.excerpt.title,
            instrument=self.excerpt.instrument,
            content_hash=Excerpt.hash_of(self.music.musicxml),
        )
        if same.exclude(pk=self.excerpt.pk).exists():
            self.add_error("file", _("The library has this music under the same title already."))
            return
        self.changes = changes_between(self.excerpt.score, score)
        self.questions = range_questions(score, self.excerpt.instrument_facts)
        self.lost_bars = lost_bars(self.excerpt, score)
        self.lost_notes = lost_notes(self.excerpt, score)
        if data.get("confirm"):
            self._check_bars()
            if data.get("before") != self.excerpt.content_hash:
                self.add_error(None, _("The music was corrected in another window; please look again."))

    def _check_bars(self) -> None:
        for asked in self.lost_bars:
            anew = replace(
                asked,
                from_bar=self._typed(asked, "from"),
                to_bar=self._typed(asked, "to"),
                line=self._typed(asked, "line"),
            )
            if bool(anew.from_bar) != bool(anew.to_bar) or not anew.fits(self.music.score):
                self.add_error(None, _("Please give bars that are printed, or leave it empty."))
            else:
                self.bars.append(anew)

    def _typed(self, asked: AskedBars, what: str) -> str:
        """Nothing longer than its column."""
        longest = 2000 if what == "line" else 10
        return self.data.get(f"{what}-{asked.pk}", "").strip()[:longest]

    @property
    def bar_fields(self) -> list[dict]:
        return [
            {
                "asked": asked,
                "first": self._typed(asked, "from"),
                "last": self._typed(asked, "to"),
                "line": self._typed(asked, "line"),
            }
            for asked in self.lost_bars
        ]

    @property
    def shows_changes(self) -> bool:
        return self.canonical is not None and "file" not in self.errors

    @property
    def is_confirmed(self) -> bool:
        return self.is_valid() and bool(self.cleaned_data.get("confirm"))

    def keep(self, by) -> None:
        correct_and_ask_anew(self.excerpt, self.music, by=by, bars=self.bars)
