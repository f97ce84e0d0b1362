"""All the outputs: those of the modules in publish/outputs, and those of other packages that the entry point group
`everyrung.outputs` names.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from everyrung.plugins import Plugin, instances_in, of_plugins, own_modules
from everyrung.publish import outputs as package
from everyrung.publish.output import Need, Output
from everyrung.terms.errors import Invalid, nearest, or_list

GROUP = "everyrung.outputs"


@dataclass(frozen=True, slots=True, kw_only=True)
class Registry:
    """Every output in the order that it is written in, the plug-in of each that is not ours, and plug-ins that are no
    use, each in a sentence.
    """

    outputs: tuple[Output, ...]
    others: dict[Output, Plugin]
    problems: tuple[str, ...]

    @property
    def always(self) -> tuple[Output, ...]:
        """Those of every publication: nothing more has to be given for them."""
        needs = {Need.BODIES, Need.CUES}
        return tuple(output for output in self.outputs if not output.on_request and needs.issuperset(output.needs))

    @property
    def on_request(self) -> tuple[Output, ...]:
        """Those that are written only when they are asked for."""
        return tuple(output for output in self.outputs if output.on_request)

    def select(self, names: Iterable[str]) -> frozenset[str]:
        """The names of outputs on request. Raises Invalid with the nearest for one that there is not."""
        names_there = [output.name for output in self.on_request]
        for name in names:
            if name not in names_there:
                expected = or_list([repr(each) for each in names_there])
                remedy = " ".join(["Is the package that adds it installed?", *self.problems])
                raise Invalid("also", expected, name, nearest=nearest(name, names_there), remedy=remedy)
        return frozenset(names)


@lru_cache
def registry() -> Registry:
    """What there is, found once."""
    ours = dict.fromkeys(each for module in own_modules(package) for each in instances_in(module, Output))
    names = {output.name for output in ours}

    def refusal(output: Output) -> str:
        if output.name in names:
            return f"{output.name!r} is another's"
        names.add(output.name)
        return ""

    outputs, problems = of_plugins(GROUP, Output, "an", refusal)
    others = {output: plugin for plugin, output in outputs}
    every = sorted((*ours, *others), key=lambda output: output.place)
    return Registry(outputs=tuple(every), others=others, problems=tuple(problems))
