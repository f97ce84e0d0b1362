"""The pose of a rung: the layers that its form calls for, one over the other."""

from everyrung.moves.pose_file import shared_rules
from everyrung.terms.move import Form
from everyrung.terms.pose import Layer, PoseText


def pose_layer(text: PoseText, form: Form) -> Layer:
    """Shared rules for stance and surface, the move's own layer, shared rules for hands and trunk, the move's cases."""
    below, above = shared_rules()
    layer = Layer()
    for case in below:
        layer = layer.under(case.layer) if case.holds(form) else layer
    layer = layer.under(text.layer)
    for case in (*above, *text.cases):
        layer = layer.under(case.layer) if case.holds(form) else layer
    return layer.settled()
