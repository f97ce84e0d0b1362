"""What leaves the coach's hands: the run sheet and what else is published. Computes no timing of its own.

The package has the name of the public function, so it is that function as well: `everyrung.publish(plan, folder)`.
What it takes stands at `everyrung.publish.folder.bundle.publish`.
"""

import sys
from inspect import Signature, signature
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from everyrung.publish.folder.contents import Publication


class _Package(ModuleType):
    """A package that can be called."""

    @property
    def __signature__(self) -> Signature:
        from everyrung.publish.folder.bundle import publish

        return signature(publish)

    def __call__(self, *arguments: Any, **keywords: Any) -> "Publication":
        from everyrung.publish.folder.bundle import publish

        return publish(*arguments, **keywords)


sys.modules[__name__].__class__ = _Package
