"""What people wait for, as small programs over a throw-away demo season."""

from collections.abc import Callable, Iterator
from datetime import timedelta

from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from repertoire.models import Excerpt
from repertoire.notation.draw.engraving import engrave
from repertoire.notation.order.forms import describe
from repertoire.notation.positions.boards import FINGERBOARDS
from repertoire.notation.positions.plan import plan
from repertoire.notation.read.reading import load_canonical, read_score
from repertoire.show.engraved import DESK_PX
from studio.models import Requirement, User
from tests.repertoire.notation.makers import attributes, note, part, repeat_end, score
from tests.repertoire.notation.positions.passages import sixty_bars
from tests.speed.__main__ import Promise

BARS = 200


def promises() -> Iterator[Promise]:
    data = long_piece()
    stored = read_score(data).musicxml
    printed = sixty_bars().score
    yield Promise(
        f"{BARS} bars read and drawn", lambda: engrave(read_score(data).musicxml, width_px=DESK_PX), 1000
    )
    yield Promise(f"{BARS} stored bars read again", lambda: load_canonical(stored), 500)
    yield Promise(
        "60 bars of sixteenths given fingers",
        lambda: plan(printed, board=FINGERBOARDS["violin"], quarter_bpm=90),
        1000,
    )
    yield Promise(f"another form of {BARS} bars shown on its page", another_form(stored), 200)


def long_piece() -> bytes:
    """Eight eighth notes a bar, with a repeat in the middle: 1600 notes."""
    steps = "CDEFGABC"
    bars = []
    for number in range(1, BARS + 1):
        notes = "".join(note(steps[(number + k) % 8], duration=1, kind="eighth") for k in range(8))
        head, tail = attributes() if number == 1 else "", repeat_end() if number == BARS // 2 else ""
        bars.append(f'<measure number="{number}">{head}{notes}{tail}</measure>')
    return score(part(bars))


def another_form(musicxml: str) -> Callable[[], None]:
    """The whole page of the form editor, from what is sent to what comes back, another line each time."""
    call_command("migrate", verbosity=0)
    call_command("load_demo", verbosity=0)
    requirement = Requirement.objects.first()
    requirement.excerpt = Excerpt.objects.create(
        title="Long Piece",
        instrument=requirement.instrument,
        musicxml=musicxml,
        marked_bpm=96,
        bar_count=BARS,
        order_text=describe(Excerpt(musicxml=musicxml).form()),
        order_confirmed=True,
    )
    requirement.order_line = ""
    requirement.save()
    client = Client(SERVER_NAME="localhost")
    client.force_login(User.objects.with_role("director").first())
    sent = {
        "excerpt": requirement.excerpt_id,
        "level": requirement.level,
        "rubric": requirement.rubric_id,
        "marked_bpm": "92",
        "low_bpm": "84",
        "high_bpm": "100",
        "due_at": (requirement.audition.closes_at - timedelta(days=3)).strftime("%Y-%m-%dT%H:%M"),
        "played": "line",
        "show": "1",
    }
    last = iter(range(BARS - 1, 0, -1))
    address = reverse("requirement_edit", args=[requirement.pk])

    def show() -> None:
        answer = client.post(address, {**sent, "order_line": f"1-40, 60-{max(next(last), 61)}"})
        assert answer.status_code == 200

    return show
