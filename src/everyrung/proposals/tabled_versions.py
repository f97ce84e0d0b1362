"""What the shipped table of demands says of versions, so that none is solved on bodies to learn what is known."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from everyrung.body.mechanics import Job, is_beyond_some, is_in_table
from everyrung.body.reference_grid import reference_grid
from everyrung.moves.library import Library
from everyrung.proposals.columns import Version
from everyrung.terms.errors import Invalid
from everyrung.terms.move import Form
from everyrung.terms.person import BodySize
from everyrung.terms.units import Load

_Question = Callable[[Job, Sequence[BodySize]], bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class TabledVersions:
    """Versions of a library, each looked up once."""

    library: Library
    _answers: dict[tuple[_Question, Form, Load | None], bool] = field(default_factory=dict)

    def has(self, version: Version) -> bool:
        """Whether its demands on every reference body are there."""
        return self._ask(is_in_table, version)

    def is_beyond(self, version: Version) -> bool:
        """Whether some reference body is known not to hold it: nobody has to be put into it to find that out."""
        return self._ask(is_beyond_some, version)

    def _ask(self, question: _Question, version: Version) -> bool:
        form, load = version.variant.form, version.load
        if (question, form, load) not in self._answers:
            self._answers[question, form, load] = False
            with suppress(Invalid):  # a move of hers without a pose
                job = Job(form=form, layer=self.library.pose(form), size=reference_grid()[0], load=load)
                self._answers[question, form, load] = question(job, reference_grid())
        return self._answers[question, form, load]
