"""What is kept of takes is at every moment what the takes themselves say, whatever was changed and how."""

from datetime import timedelta
from random import Random

import pytest
from django.core.management import call_command
from django.utils import timezone

from recordings.models import Analysis, KeptCell, Mark, Review, Take, TakeToSend
from recordings.readiness.keeping import keep_of, rebuild
from recordings.readiness.kept import with_state
from recordings.readiness.rows import rows_for
from recordings.readiness.rules import State
from recordings.reviews.release import release_review, withdraw_review
from recordings.sending.choose import back_to_default, choose
from recordings.takes.lifetime import remove_take
from studio.models import Audition, Entry, Requirement, Studio
from studio.services.entries import enter
from studio.services.more_time import give, take_back
from tests.recordings.conftest import finish, plain_take
from tests.recordings.readiness.scanned import scanned_state
from tests.recordings.readiness.test_rows import answer

STEPS = 110


def kept_states(at) -> dict:
    cells = with_state(KeptCell.objects.all(), at=at, percent=Studio.current().ready_percent)
    return {
        (entry, asked): state for entry, asked, state in cells.values_list("entry", "requirement", "state")
    }


def scanned_states(at) -> dict:
    return {
        (entry.pk, requirement.pk): scanned_state(entry, requirement, at=at)
        for entry in Entry.objects.select_related("audition", "student")
        for requirement in entry.requirements
    }


def shown_states(at) -> dict:
    entries = Entry.objects.select_related("audition", "student")
    return {
        (row.entry.pk, cell.requirement.pk): cell.state
        for row in rows_for(list(entries), at=at)
        for cell in row.cells
    }


class Studying:
    """Someone does something to the season, by chance, as the program does it."""

    def __init__(self, seed: int, director) -> None:
        self.chance, self.director, self.count = Random(seed), director, 0

    def step(self) -> str:
        do = self.chance.choice(
            [self.hand_in] * 4
            + [self.measure] * 5
            + [self.answer] * 5
            + [
                self.fail,
                self.withdraw,
                self.hear_anyway,
                self.measure_again,
                self.remove,
                self.choose,
                self.choose,
                self.unchoose,
                self.threshold,
                self.tempo,
                self.deadline,
                self.closing,
                self.more_time,
                self.level,
                self.requirement,
                self.consent,
            ]
        )
        do()
        return do.__name__

    def any_of(self, rows):
        listed = list(rows.order_by("pk"))
        return self.chance.choice(listed) if listed else None

    def hand_in(self) -> None:
        entry = self.any_of(Entry.objects.all())
        asked = self.any_of(entry.requirements)
        self.count += 1
        if asked:
            ago = self.chance.randrange(0, 60 * 24 * 40)
            plain_take(entry, asked, minutes_ago=ago, sha256=f"{self.count:064x}")

    def measure(self) -> None:
        take = self.any_of(Take.objects.filter(analysis__state="waiting"))
        if take:
            finish(
                take,
                metronome_bpm=self.chance.choice([None, 80.0, 88.0, 96.0, 104.0, 110.0]),
                complete=self.chance.choice([True, True, True, False, None]),
                right_share=self.chance.choice([0.8, 0.9, 0.95]),
                unusable=self.chance.choice(["", "", "", "", "silent"]),
            )

    def fail(self) -> None:
        analysis = self.any_of(Analysis.objects.filter(state="waiting"))
        if analysis:
            Analysis.objects.filter(pk=analysis.pk).update(state="failed", unusable="unreadable")

    def measure_again(self) -> None:
        analysis = self.any_of(Analysis.objects.filter(state="done"))
        if analysis:
            analysis.start_again()

    def answer(self) -> None:
        take = self.any_of(Take.objects.exclude(review__state="released"))
        if take is None:
            return
        review = Review.objects.filter(take=take).first() or Review.objects.create(take=take)
        for caption in take.requirement.rubric.captions.all():
            value = self.chance.choice([5, 7, 8, 8, 9, 9, 10])
            Mark.objects.update_or_create(review=review, caption=caption, defaults={"value": value})
        again = self.chance.choice(["", "", "", "", "", "quiet"])
        release_review(review, by=self.director, again=again)

    def withdraw(self) -> None:
        review = self.any_of(Review.objects.released())
        if review:
            withdraw_review(review, by=self.director)

    def hear_anyway(self) -> None:
        take = self.any_of(Take.objects.exclude(analysis__unusable=""))
        if take:
            take.ask_to_be_heard()

    def remove(self) -> None:
        take = self.any_of(Take.objects.all())
        if take:
            assert not remove_take(take, by=self.director)

    def choose(self) -> None:
        take = self.any_of(Take.objects.all())
        if take:
            choose(take.entry, [take.requirement], take, self.director)

    def unchoose(self) -> None:
        row = self.any_of(TakeToSend.objects.all())
        if row:
            back_to_default(row.entry, [row.requirement])

    def threshold(self) -> None:
        Studio.objects.update(ready_percent=self.chance.choice([50, 70, 80, 90]))

    def tempo(self) -> None:
        asked = self.any_of(Requirement.objects.all())
        asked.low_bpm, asked.high_bpm = self.chance.choice([(88, 104), (96, 104), (80, 110)])
        asked.save()

    def deadline(self) -> None:
        asked = self.any_of(Requirement.objects.all())
        asked.due_at = timezone.now() + timedelta(days=self.chance.choice([-5, 3]))
        asked.save()

    def closing(self) -> None:
        audition = self.any_of(Audition.objects.all())
        audition.closes_at = timezone.now() + timedelta(days=self.chance.choice([-20, 6, 30, 30, 30]))
        audition.save()

    def more_time(self) -> None:
        entry = self.any_of(Entry.objects.all())
        if entry.extended_until:
            take_back(entry)
        else:
            until = timezone.now() + timedelta(days=self.chance.choice([-12, 2, 40]))
            give([entry], until=until, reason="ill", by=self.director)

    def level(self) -> None:
        entry = self.any_of(Entry.objects.all())
        Entry.objects.filter(pk=entry.pk).update(level=self.chance.choice(["senior", "senior", "junior"]))

    def requirement(self) -> None:
        asked = self.any_of(Requirement.objects.all())
        asked.level = self.chance.choice(["senior", "senior", "senior", "junior"])
        asked.save()

    def consent(self) -> None:
        consent = self.any_of(Entry.objects.first().student.consents.filter(withdrawn_at=None))
        if consent:
            consent.withdraw()


@pytest.mark.parametrize("seed", [4])
def test_whatever_happens_kept_facts_are_those_of_the_takes(
    seed, director, student, other_student, audition, make_requirement
):
    make_requirement()
    make_requirement(due_at=timezone.now() - timedelta(days=1))
    enter(audition, [student, other_student])
    Entry.objects.filter(student=other_student).update(made_at=timezone.now() - timedelta(days=9))
    happening, seen = Studying(seed, director), set()
    for number in range(STEPS):
        done = happening.step()
        at = timezone.now()
        scanned = scanned_states(at)
        assert kept_states(at) == scanned, (number, done)
        assert shown_states(at) == scanned, (number, done)
        seen |= set(scanned.values())
        if number % 10 == 9:
            assert rebuild() == 0, (number, done)
    assert seen == set(State)


def test_a_worse_later_take_does_not_unmake_ready(entry, requirement):
    good = plain_take(entry, requirement, minutes_ago=60)
    finish(good)
    answer(good, 9)
    later = plain_take(entry, requirement, sha256="1" * 64)
    for worse in (lambda: None, lambda: finish(later), lambda: answer(later, 4)):
        worse()
        cell = rows_for(list(Entry.objects.select_related("audition")))[0].cells[0]
        assert (cell.state, cell.take) == (State.READY, later)
        assert cell.readiness.reasons == ("An earlier take is everything that is asked; it can be sent.",)


def test_who_chooses_a_lesser_take_is_told(entry, requirement, director):
    lesser = plain_take(entry, requirement, minutes_ago=60)
    finish(lesser, metronome_bpm=120.0)
    answer(lesser, 9)
    good = plain_take(entry, requirement, sha256="1" * 64)
    finish(good)
    answer(good, 9)
    choose(entry, [requirement], lesser, director)
    cell = rows_for(list(Entry.objects.select_related("audition")))[0].cells[0]
    assert cell.state == State.BACK_TO_WORK
    assert cell.readiness.reasons[0] == "An earlier take is chosen to be sent."
    assert "The tempo is 120 a minute" in cell.readiness.reasons[1]


def test_a_change_to_more_cells_than_one_condition_holds(entry, requirement):
    finish(plain_take(entry, requirement))
    KeptCell.objects.update(take_count=7)
    keep_of([(entry.pk, requirement.pk), *((entry.pk, 10_000 + number) for number in range(1100))])
    assert KeptCell.objects.get().take_count == 1


def test_the_command_mends_what_is_wrong_and_missing(entry, requirement, capsys):
    finish(plain_take(entry, requirement))
    KeptCell.objects.update(take_count=7)
    call_command("rebuild_readiness")
    KeptCell.objects.all().delete()
    call_command("rebuild_readiness")
    call_command("rebuild_readiness")
    said = capsys.readouterr().out.splitlines()
    assert said == ["1 rows were missing or wrong."] * 2 + ["Everything was right."]
    assert KeptCell.objects.get().take_count == 1
