"""Pages from our templates: one HTML file that needs nothing else, every word of a plan escaped."""

from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from everyrung.publish.font import font_faces


@cache
def environment(package: str) -> Environment:
    """The templates of a package: every word escaped, and a name that is not given an error."""
    return Environment(
        loader=PackageLoader(package, "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def page(template: str, **content: Any) -> str:
    """The page of one template, with our fonts in it."""
    fonts = Markup(font_faces())  # our own text: base64 and fixed words
    return environment("everyrung.publish").get_template(template).render(fonts=fonts, **content)
