"""The demand of one rung on one body: its poses, a repetition through them at its tempo, the greatest and the mean."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from everyrung.body.configuration import Configuration
from everyrung.body.contacts import centre_with
from everyrung.body.coordinates import ROOT, coordinate_names
from everyrung.body.demand import demand
from everyrung.body.energy import activity_w, muscle_power
from everyrung.body.inverse_dynamics import GRAVITY
from everyrung.body.pose_problem import PoseProblem
from everyrung.body.self_checks import measure_self_checks
from everyrung.body.trajectory import PoseAtDepth, Sample, Trajectory, full_of, solve_depths
from everyrung.terms.demand import (
    Bearing,
    Demand,
    DemandAt,
    GroupDemand,
    Joint,
    MotionDemand,
    RungCurve,
    RungDemand,
    SelfCheckResult,
)
from everyrung.terms.errors import Invalid
from everyrung.terms.person import BodySize
from everyrung.terms.units import Tempo

HOLD_MS = 1000  # of a held pose; chosen, because means are then a second's


@dataclass(frozen=True, slots=True, kw_only=True)
class _InstantDemand:
    """One instant and what it asks for."""

    at: Sample
    demand: Demand
    energy_j: float
    power_w: float


def rung_demand(
    problem: PoseProblem, size: BodySize, tempo: Tempo, pulses_ms: int = 0, extra_ms: int = 0
) -> RungDemand:
    """What this rung asks of this body, over one repetition at `tempo` (a hold: a second), with pulses and an extra at
    full depth.

    Raises Invalid for a pose that names what no body has, NoSolution when the least effort of an instant is not found.
    """
    return rung_curve(problem, size, tempo, pulses_ms, extra_ms).demand


def rung_curve(problem: PoseProblem, size: BodySize, tempo: Tempo, pulses_ms: int = 0, extra_ms: int = 0) -> RungCurve:
    """The same with every instant that it was computed from, in the order of time. Raises Invalid and NoSolution as
    rung_demand does.
    """
    poses = solve_depths(problem, hold=tempo.is_hold)
    configuration = Configuration(problem.body)
    instants = [
        _instant_demand(configuration, problem, moment)
        for moment in moments(problem, poses, tempo, pulses_ms, extra_ms)
    ]
    return RungCurve(
        demand=_repetition_demand(configuration, problem, size, poses, instants), instants=_in_time(instants)
    )


def _in_time(instants: Sequence[_InstantDemand]) -> tuple[DemandAt, ...]:
    """The instants in the order of time: a pause comes after the way there."""
    curve = []
    for one in sorted(instants, key=lambda one: one.at.at_ms):
        directions = [(each.motion, each.moment_nm, each.fraction) for each in one.demand.moments]
        moments = tuple((motion, nm, fraction) for motion, nm, fraction in directions if fraction is not None)
        curve.append(DemandAt(at_ms=one.at.at_ms, depth=one.at.depth, moments=moments))
    return tuple(curve)


def _repetition_demand(
    configuration: Configuration,
    problem: PoseProblem,
    size: BodySize,
    poses: Sequence[PoseAtDepth],
    instants: Sequence[_InstantDemand],
) -> RungDemand:
    return RungDemand(
        size=size,
        load_kg=problem.load_kg,
        rep_ms=round(sum(one.at.weight_ms for one in instants)),
        phases_ms=_phases_ms(instants),
        motions=_motions(instants),
        groups=_groups(instants),
        bearings=_bearings(problem, instants),
        joints=_joints(poses),
        trunk_nm=max(_trunk_nm(one.demand) for one in instants),
        balance_m=min((one.demand.balance.moving_m for one in instants if one.demand.balance), default=None),
        sideways_m=min((one.demand.balance.sideways_m for one in instants if one.demand.balance), default=None),
        work_j=_lifted_j(instants),
        above_rest_w=_above_rest_w(problem, size, instants),
        self_checks=_self_checks(configuration, problem, poses, instants),
        misfits=misfit_lines(poses),
        farthest_mm=_farthest(poses, "mm"),
        farthest_deg=_farthest(poses, "deg"),
        shortfalls=_shortfalls(instants),
        has_converged=all(one.has_converged for one in poses),
        from_memory=_from_memory(problem),
    )


def moments(
    problem: PoseProblem, poses: Sequence[PoseAtDepth], tempo: Tempo, pulses_ms: int, extra_ms: int
) -> list[Sample]:
    """The instants of a repetition, or the one of a hold; without motion where the move is too quick for poses, and
    names an activity. Raises Invalid for a move that is counted and says not where
    it rests.
    """
    if tempo.is_hold:
        return [Sample(depth=1.0, weight_ms=HOLD_MS, phase=1, at_ms=HOLD_MS, q_ind=poses[-1].q_ind, motion=None)]
    if problem.layer.rests is None:
        raise Invalid("pose.rests", "'top' or 'bottom' for a move that is counted", "nothing")
    path = Trajectory([one.depth for one in poses], [one.q_ind for one in poses])
    samples = path.repetition(tempo, problem.layer.rests, pulses_ms, extra_ms)
    return [replace(one, motion=None) for one in samples] if problem.layer.energy else samples


def _instant_demand(configuration: Configuration, problem: PoseProblem, moment: Sample) -> _InstantDemand:
    configuration.set_q(moment.q_ind)
    setting, depth = problem.step(moment.depth)
    contacts, loads = setting.contacts(depth), setting.held_loads(depth)
    answer = demand(configuration, contacts, loads, moment.motion, setting.pulls(depth))
    centre, _ = centre_with(configuration, loads)
    mass = configuration.body.mass_kg + sum(load.mass_kg for load in loads)
    return _InstantDemand(
        at=moment,
        demand=answer,
        energy_j=mass * GRAVITY * float(centre[2]),
        power_w=muscle_power(configuration.body, answer, moment.motion),
    )


def _above_rest_w(problem: PoseProblem, size: BodySize, instants: Sequence[_InstantDemand]) -> float:
    """The mean of the instants; where the move names an activity, its published value and not less than that mean."""
    mean_w = sum(one.power_w * one.at.weight_ms for one in instants) / sum(one.at.weight_ms for one in instants)
    name = problem.layer.energy
    return max(mean_w, activity_w(name, size.mass_kg)) if name else mean_w


def _motions(instants: Sequence[_InstantDemand]) -> tuple[MotionDemand, ...]:
    """Each direction of each joint that is asked for anything, in the order of first asking."""
    lasting = _phases_ms(instants)
    rows: dict[str, list[tuple[float, float, Sample]]] = {}
    for one in instants:
        for each in one.demand.moments:
            if each.fraction is not None:
                rows.setdefault(each.motion, []).append((each.fraction, each.moment_nm, one.at))
    return tuple(_motion(motion, entries, lasting) for motion, entries in rows.items())


def _motion(motion: str, entries: Sequence[tuple[float, float, Sample]], lasting: Sequence[float]) -> MotionDemand:
    greatest, _, at = max(entries, key=lambda each: (each[0], each[2].at_ms))
    sums = [0.0] * len(lasting)
    for fraction, _, moment in entries:
        sums[moment.phase] += fraction * moment.weight_ms
    return MotionDemand(
        motion=motion,
        moment_nm=max(nm for _, nm, _ in entries),
        fraction=greatest,
        mean_fraction=sum(sums) / sum(lasting),
        phases=tuple(load / ms if ms else 0.0 for load, ms in zip(sums, lasting, strict=True)),
        at_ms=at.at_ms,
        depth=at.depth,
    )


def _phases_ms(instants: Sequence[_InstantDemand]) -> tuple[float, ...]:
    """How long each phase lasts, in the order of time."""
    lasting = [0.0] * 4
    for one in instants:
        lasting[one.at.phase] += one.at.weight_ms
    return tuple(round(ms, 6) for ms in lasting)


def _groups(instants: Sequence[_InstantDemand]) -> tuple[GroupDemand, ...]:
    total = sum(one.at.weight_ms for one in instants)
    names = [effort.group for effort in instants[0].demand.efforts]
    table = np.array([[effort.activation for effort in one.demand.efforts] for one in instants])
    weights = np.array([one.at.weight_ms for one in instants]) / total
    return tuple(
        GroupDemand(group=name, peak=float(table[:, row].max()), mean=float(weights @ table[:, row]))
        for row, name in enumerate(names)
    )


def _bearings(problem: PoseProblem, instants: Sequence[_InstantDemand]) -> tuple[Bearing, ...]:
    """The supports' forces at the instants nearest to rest and to full depth."""
    rest, full = (min(instants, key=lambda one: abs(one.at.depth - end)).demand.reactions for end in (0.0, 1.0))
    at_rest, at_full = ({each.contact: each.normal_n for each in reactions} for reactions in (rest, full))
    names = dict.fromkeys(one.name for depth in (0.0, 1.0) for one in problem.contacts(depth))
    return tuple(Bearing(contact=name, rest_n=at_rest.get(name), full_n=at_full.get(name)) for name in names)


def _joints(poses: Sequence[PoseAtDepth]) -> tuple[Joint, ...]:
    rest, full = (np.degrees(one.q_ind[ROOT:]) for one in (poses[0], full_of(poses)))
    return tuple(
        Joint(name=name, rest_deg=float(rest[row]), full_deg=float(full[row]))
        for row, name in enumerate(coordinate_names())
    )


def _self_checks(
    configuration: Configuration,
    problem: PoseProblem,
    poses: Sequence[PoseAtDepth],
    instants: Sequence[_InstantDemand],
) -> tuple[SelfCheckResult, ...]:
    configuration.set_q(full_of(poses).q_ind)
    return measure_self_checks(configuration, problem, [one.demand for one in instants])


def _trunk_nm(one: Demand) -> float:
    trunk = one.trunk
    return float(np.hypot(np.hypot(trunk.extension_nm, trunk.bend_right_nm), trunk.turn_left_nm))


def _lifted_j(instants: Sequence[_InstantDemand]) -> float:
    """The work done against weight in the instants that follow each other, pauses left out."""
    heights = [one.energy_j for one in instants if one.at.motion is not None]
    return float(sum(max(after - before, 0.0) for before, after in pairwise(heights)))


def misfit_lines(poses: Sequence[PoseAtDepth]) -> tuple[str, ...]:
    """The worst of each task, with where in the movement it is."""
    worst: dict[str, tuple[float, str]] = {}
    for one in poses:
        for misfit in one.misfits:
            text = f"{misfit} {_where(one.depth)}"
            name = misfit.task.split(" at ")[0]
            amount = round(misfit.amount, 6)  # or rounding would say which of two mirrored ones comes first
            worst[name] = max(worst.get(name, (0.0, "")), (amount, text))
    return tuple(text for _, text in sorted(worst.values(), reverse=True))


def _where(depth: float) -> str:
    return f"at {depth:.0%} of the depth" if depth <= 1 else "in the extra"


def _farthest(poses: Sequence[PoseAtDepth], unit: str) -> float:
    return max((each.amount for one in poses for each in one.misfits if each.unit == unit), default=0.0)


def _shortfalls(instants: Sequence[_InstantDemand]) -> tuple[str, ...]:
    worst: dict[str, tuple[float, str]] = {}
    for one in instants:
        for short in one.demand.shortfalls:
            text = f"{short} {_where(one.at.depth)}"
            worst[short.what] = max(worst.get(short.what, (0.0, "")), (round(short.amount, 6), text))
    return tuple(text for _, text in sorted(worst.values(), reverse=True))


def _from_memory(problem: PoseProblem) -> tuple[str, ...]:
    strengths = problem.body.strengths
    return tuple(name for name, memory in zip(strengths.motions, strengths.from_memory, strict=True) if memory)
