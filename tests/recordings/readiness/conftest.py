import pytest

from studio.models import Requirement


@pytest.fixture
def make_requirement(audition, excerpt, rubric):
    """A requirement of the audition, violin and senior; what is named is different."""

    def made(**different) -> Requirement:
        return Requirement.objects.create(
            **{
                "audition": audition,
                "instrument": "violin",
                "level": "senior",
                "excerpt": excerpt,
                "rubric": rubric,
                "marked_bpm": 96,
                "low_bpm": 88,
                "high_bpm": 104,
                "due_at": audition.closes_at,
                **different,
            }
        )

    return made
