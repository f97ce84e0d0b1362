"""How long OpenSim's static optimisation takes for a pose, beside our own, with the same segments and muscles.

Run: pip install opensim, then .venv/bin/python benchmarks/static_optimization.py. OpenSim gets the bottom of a squat
with a load at the chest, its pelvis fixed, the forces under the feet known and its muscles in straight lines from point
to point; ours finds the feet's forces too and wraps its muscles. Times only: load sharing is not compared.
"""

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import mujoco
import opensim as osim

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests" / "second_way"))  # the tree of the tests

from opensim_tree import names_of, posed, tree, vector
from test_opensim import Posed, posed_rung, supports

from everyrung.body.demand import demand

END_S, STEP_S = 0.05, 0.01  # of a pose that stands still; OpenSim wants a stretch of time
OURS = 100


def cpu_s(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def muscles_on(model: Any, last: dict[int, Any], posed_body: Posed) -> int:
    """Our muscles as actuators between their points, and a dear one for each coordinate; how many muscles."""
    body = posed_body.configuration.body
    compiled, muscles = body.mj_model, body.muscles
    for row, force_n in enumerate(muscles.force_n.tolist()):
        pull = osim.PathActuator()
        pull.setName(f"muscle_{row}")
        pull.setOptimalForce(force_n)
        pull.setMinControl(0.0)
        pull.setMaxControl(1.0)
        for wrap in range(compiled.tendon_adr[row], compiled.tendon_adr[row] + compiled.tendon_num[row]):
            if compiled.wrap_type[wrap] == mujoco.mjtWrap.mjWRAP_SITE:
                site = compiled.wrap_objid[wrap]
                at = vector(osim, compiled.site_pos[site])
                pull.addNewPathPoint(f"muscle_{row}_{wrap}", last[compiled.site_bodyid[site]], at)
        model.addForce(pull)
    for name in names_of(model):
        reserve = osim.CoordinateActuator(name)
        reserve.setName(f"reserve_{name}")
        reserve.setOptimalForce(1.0)
        reserve.setMinControl(-1e4)
        reserve.setMaxControl(1e4)
        model.addForce(reserve)
    return len(muscles.names)


def still(model: Any, state: Any) -> Any:
    """The states of a pose that lasts."""
    names, values = model.getStateVariableNames(), model.getStateVariableValues(state)
    labels, row = osim.ArrayStr(), osim.Vector(values.size(), 0.0)
    labels.append("time")
    for place in range(names.getSize()):
        labels.append(names.get(place))
        row[place] = values[place]
    found = osim.Storage()
    found.setColumnLabels(labels)
    for step in range(round(END_S / STEP_S) + 1):
        found.append(step * STEP_S, row)
    return found


def main() -> None:
    """Prints both times and their ratio."""
    osim.Logger.setLevelString("Error")
    squat = posed_rung("squat", "goblet")
    model, last = tree(osim, squat.configuration, list(supports(squat)))
    count = muscles_on(model, last, squat)
    state = posed(model, squat.configuration)
    analysis = osim.StaticOptimization(model)
    analysis.setUseMusclePhysiology(False)
    states = still(model, state)  # the analysis keeps no hold of it
    analysis.setStatesStore(states)
    analysis.setStartTime(0.0)
    analysis.setEndTime(END_S)
    state.setTime(STEP_S)
    analysis.begin(state)
    state.setTime(2 * STEP_S)
    theirs_s = cpu_s(lambda: analysis.step(state, 1))
    assert analysis.getActivationStorage().getSize() == 2
    ours = lambda: demand(squat.configuration, squat.contacts, squat.held)  # noqa: E731
    ours()
    ours_s = cpu_s(lambda: [ours() for _ in range(OURS)]) / OURS
    print(f"{count} muscles: OpenSim {theirs_s * 1e3:.0f} ms of the processor a pose, Everyrung {ours_s * 1e3:.2f} ms")
    print(f"ratio {theirs_s / ours_s:.0f}")


if __name__ == "__main__":
    main()
