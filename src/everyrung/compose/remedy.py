"""A remedy: edits of a plan that may mend a finding, and the words of the button that does them."""

from dataclasses import dataclass

from everyrung.terms.edit import OneEdit, Several


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """What one press does. `silent`: the session stays as it is, only the finding goes.

    Of one `family`, the same change by more or less, only the first that holds is offered; '' is no family.
    """

    words: str
    edits: tuple[OneEdit, ...]
    silent: bool = False
    family: str = ""

    @property
    def edit(self) -> Several:
        """All of it as one edit of the plan."""
        return Several(edits=self.edits, words=self.words)
