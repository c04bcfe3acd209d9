import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tests.conftest import tune_musicxml


@pytest.fixture
def score_file():
    """A fresh upload each time it is called: `score_file()`, `score_file(b"...", "x.mxl")`."""

    def made(data: bytes | None = None, name: str = "tune.musicxml") -> SimpleUploadedFile:
        return SimpleUploadedFile(name, tune_musicxml() if data is None else data)

    return made


@pytest.fixture
def typed():
    """What a director types on the page for a new score."""
    return {
        "title": "Window Etude",
        "composer": "Nobody Real",
        "source": "Page 7",
        "instrument": "violin",
        "marked_bpm": "88",
        "beat_unit": "1.0",
        "temperament": "equal",
    }
