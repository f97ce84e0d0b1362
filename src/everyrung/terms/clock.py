"""The clock constants of one coach: how long everything between the work takes."""

from dataclasses import dataclass, fields

from everyrung.terms.errors import require


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """Times in ms and one speaking rate; the defaults with their sources stand in tables/clock.csv."""

    talk_wpm: int
    explain_first_ms: int
    explain_change_ms: int
    explain_same_ms: int
    explain_follow_ms: int
    settle_ms: int
    count_in_ms: int
    side_switch_ms: int
    hand_change_ms: int
    down_to_floor_ms: int
    up_from_floor_ms: int
    turn_over_ms: int
    dumbbells_ms: int
    ball_ms: int
    band_ms: int
    chair_ms: int
    step_ms: int
    sliders_ms: int
    wall_ms: int
    rest_ms: int
    round_rest_ms: int

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            low, high = (60, 240) if each.name == "talk_wpm" else (0, 14_400_000)
            require(isinstance(value, int) and low <= value <= high, each.name, f"{low} to {high}", value)
