"""Where the lanes of one system stand, in units of the viewBox."""

from dataclasses import dataclass

HEAD = 38.0  # title, with a second line on narrow paper
SYSTEM = 200.0
GAP = 20.0
HALF = 29.0  # half the height of the sides lane
SMALL = 9.5  # size of lane names and labels
NAME = 10.5  # size of move names


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """The lanes of a system whose ruler begins at `top`."""

    top: float

    @property
    def ruler(self) -> float:
        return self.top + 15

    @property
    def block(self) -> float:
        """Baseline of block and round names."""
        return self.top + 29

    @property
    def moves(self) -> float:
        """Top of the move lane."""
        return self.top + 34

    @property
    def centre(self) -> float:
        """The line between the participant's left and right."""
        return self.top + 100

    @property
    def standing(self) -> float:
        return self.top + 137

    @property
    def floor(self) -> float:
        return self.top + 160

    @property
    def kit(self) -> float:
        """The line that kit in hand is written on."""
        return self.top + 176

    @property
    def talk(self) -> float:
        """Middle of the talk lane."""
        return self.top + 186

    @property
    def rest(self) -> float:
        """Middle of the rest lane."""
        return self.top + 196

    @property
    def bottom(self) -> float:
        return self.top + SYSTEM
