"""What takes long only the first time on a machine: turning the body's and the people's functions into machine code."""

from everyrung.body.engine_version import answer_digest
from everyrung.moves.library import standard_library
from everyrung.pipeline import AudienceSpec, Options, run_plan
from everyrung.plan.read import plan_from_text
from everyrung.store.cache import default_cache
from everyrung.store.digest import digest
from everyrung.web.plan_templates import EMPTY

FEW = 10  # people; chosen, because it is the code that has to be there, not an answer


def make_ready() -> bool:
    """Has one rung solved and a few people walk, if this engine never did here; some twenty seconds once. Whether it
    was needed.
    """
    from everyrung.body.mechanics import Job, demand_of  # heavy, and only the process that computes needs it
    from everyrung.body.reference_grid import reference_grid

    key, cache = digest("machine code", answer_digest()), default_cache()
    if cache.get_many([key]):
        return False
    library = standard_library()
    form = library.move("squat").ladder[0].form
    demand_of(Job(form=form, layer=library.pose(form), size=reference_grid()[0]))
    run_plan(plan_from_text(EMPTY, "empty.toml"), options=Options(audience=AudienceSpec(count=FEW)))
    cache.put_many({key: "made"})
    return True
