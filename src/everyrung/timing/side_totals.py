"""What the left and the right side do: repetitions, time, and mass times repetitions."""

from collections.abc import Iterable

from everyrung.terms.enums import Side, Sidedness
from everyrung.terms.frozen import dataclass
from everyrung.terms.session import Bout, Cell
from everyrung.terms.units import SAME_MASS_KG, clock_text


@dataclass(frozen=True, slots=True, kw_only=True)
class SideWork:
    """What one side did: repetitions, time in ms, and `moved_kg`, the load in kg times its repetitions, or times its
    seconds where it is held still.
    """

    reps: int = 0
    duration_ms: int = 0
    moved_kg: float = 0.0

    def __add__(self, other: "SideWork") -> "SideWork":
        return SideWork(
            reps=self.reps + other.reps,
            duration_ms=self.duration_ms + other.duration_ms,
            moved_kg=self.moved_kg + other.moved_kg,
        )

    def __str__(self) -> str:
        parts = [f"{self.reps} reps"] if self.reps else []
        parts.append(clock_text(self.duration_ms))
        if self.moved_kg:
            parts.append(f"{self.moved_kg:.0f} kg moved in all")
        return ", ".join(parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """The left and the right side of one move; sums of cells are made with `+`."""

    left: SideWork
    right: SideWork

    def __add__(self, other: "Sides") -> "Sides":
        return Sides(left=self.left + other.left, right=self.right + other.right)

    @property
    def equal(self) -> bool:
        """Same repetitions, same time, and no more between the loads than SAME_MASS_KG a repetition."""
        amount = self.left.reps or self.left.duration_ms / 1000
        same_load = abs(self.left.moved_kg - self.right.moved_kg) <= SAME_MASS_KG * amount
        same_time = self.left.duration_ms == self.right.duration_ms
        return self.left.reps == self.right.reps and same_time and same_load

    @property
    def owed_side(self) -> Side:
        """The side that did less: fewer repetitions, else less time, else less load."""
        left = (self.left.reps, self.left.duration_ms, self.left.moved_kg)
        return Side.LEFT if left < (self.right.reps, self.right.duration_ms, self.right.moved_kg) else Side.RIGHT

    @property
    def debt(self) -> str:
        """What the owed side still has to do, in words: '8 reps', '0:30', '9 kg'."""
        reps = abs(self.left.reps - self.right.reps)
        if reps:
            return f"{reps} rep{'s' if reps > 1 else ''}"
        duration_ms = abs(self.left.duration_ms - self.right.duration_ms)
        if duration_ms:
            return clock_text(duration_ms)
        return f"{abs(self.left.moved_kg - self.right.moved_kg):.0f} kg in all"


NOTHING = Sides(left=SideWork(), right=SideWork())


def sides_of(cell: Cell) -> Sides:
    """The sides of one cell; nothing on either for a rung that works both at once."""
    if cell.rung.form.sides is Sidedness.ALTERNATING:
        return _alternating(cell.bouts[0])
    work = {Side.LEFT: SideWork(), Side.RIGHT: SideWork(), Side.BOTH: SideWork()}
    for bout in cell.bouts:
        amount = bout.reps or bout.duration_ms / 1000
        work[bout.side] += SideWork(reps=bout.reps, duration_ms=bout.duration_ms, moved_kg=_held_kg(bout) * amount)
    return Sides(left=work[Side.LEFT], right=work[Side.RIGHT])


def _alternating(bout: Bout) -> Sides:
    """Alternating starts on the left, so an odd repetition is the left's (terms/timeline.py)."""
    if not bout.reps:
        half = SideWork(duration_ms=bout.duration_ms // 2)
        return Sides(left=half, right=half)
    right = bout.reps // 2
    left = bout.reps - right
    return Sides(left=_reps_work(bout, left), right=_reps_work(bout, right))


def _reps_work(bout: Bout, reps: int) -> SideWork:
    return SideWork(reps=reps, duration_ms=reps * bout.rep_ms, moved_kg=reps * _held_kg(bout))


def _held_kg(bout: Bout) -> float:
    return bout.load.total_kg if bout.load else 0.0


def totals(cells: Iterable[Cell]) -> dict[str, Sides]:
    """Both sides of every move that is worked one side at a time, by the move's key; a swapped-in move counts as
    itself.

    >>> from everyrung import analyze
    >>> session = analyze("examples/boathouse-30.toml").session
    >>> work = totals(session.cells)["split-squat"]
    >>> str(work.left), work.equal
    ('18 reps, 1:24, 54 kg moved in all', True)
    """
    result: dict[str, Sides] = {}
    for cell in cells:
        if cell.rung.form.sides is not Sidedness.BOTH:
            move = cell.rung.form.move
            result[move] = result.get(move, NOTHING) + sides_of(cell)
    return result
