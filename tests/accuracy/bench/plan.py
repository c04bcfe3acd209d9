"""Which takes a run makes."""

from .etudes import ETUDES
from .instruments import PLAYERS
from .takes import Recipe

FIXED_SEEDS = {"quick": (1,), "full": (1, 2)}
QUICK_PLAYERS = ("violin", "cello", "clarinet")
FULL = {
    "clean": tuple(ETUDES),
    "room": tuple(ETUDES),
    "half_tempo": ("runs", "rhythms", "leaps"),
    "early_stop": ("rhythms", "repeated"),
    "no_repeat": ("runs", "rhythms", "leaps"),
    "restart": ("runs", "rhythms", "leaps"),
    "wrong_notes": ("runs", "rhythms", "leaps", "repeated"),
    "at_442": ("rhythms", "leaps"),
    "aac": ("rhythms", "leaps"),
    "opus": ("rhythms", "leaps"),
    "scoops": ("legato", "leaps"),
}
QUICK = {
    "clean": tuple(ETUDES),
    "room": ("rhythms",),
    "half_tempo": ("runs",),
    "early_stop": ("repeated",),
    "no_repeat": ("rhythms",),
    "restart": ("leaps",),
    "wrong_notes": ("rhythms",),
    "at_442": ("leaps",),
    "aac": ("leaps",),
    "opus": ("leaps",),
    "scoops": ("leaps",),
}


def recipes(*, quick: bool, seed: int) -> list[Recipe]:
    players, plan = (QUICK_PLAYERS, QUICK) if quick else (tuple(PLAYERS), FULL)
    return [
        Recipe(player, etude, variant, seed)
        for player in players
        for variant, some in plan.items()
        for etude in some
    ]
