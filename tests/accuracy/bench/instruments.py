"""The sampled instruments measured: General MIDI programs (from 0) and the range the etudes may use."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Player:
    name: str
    program: int
    lowest: int  # sounding MIDI numbers
    highest: int
    tonic: int  # where the etudes' scales begin
    vibrato_cents: float  # half width in slow music; 0: this instrument plays without


PLAYERS = {
    player.name: player
    for player in (
        Player("violin", 40, 55, 93, 62, 18.0),
        Player("cello", 42, 36, 72, 38, 15.0),
        Player("flute", 73, 60, 93, 67, 10.0),
        Player("clarinet", 71, 50, 86, 58, 0.0),
        Player("oboe", 68, 58, 87, 62, 8.0),
        Player("trumpet", 56, 54, 82, 58, 0.0),
        Player("horn", 60, 43, 77, 53, 0.0),
    )
}
