"""Other ways to fatigue: every phase of every repetition in turn, and the three-compartment equations, also with the
fatigued part in two.
"""

import numpy as np
from scipy.integrate import solve_ivp

FAST = 10.0  # 1/s, the controller's speed of Xia and Frey-Law 2008 (from memory)


def stepped_reps(m, loads, seconds, fatigue, recovery, hardest_s, peak, strikes, most):
    """Repetitions of many cases at once, one phase after the other; arrays by case, `loads` and `seconds` by phase.

    `strikes` is what each repetition costs at one blow at its hardest point.
    """
    m = m.astype(float).copy()
    done, going = np.zeros(len(m), dtype=int), np.ones(len(m), dtype=bool)
    for _ in range(most):
        at = np.zeros(len(m))
        here = m.copy()
        asked = np.full(len(m), np.nan)
        for phase in range(loads.shape[1]):
            lasting = seconds[:, phase]
            inside = np.isnan(asked) & (hardest_s <= at + lasting + 1e-12)
            part = np.exp(-recovery * (hardest_s - at))
            asked = np.where(inside, here * part + fatigue / recovery * loads[:, phase] * (1 - part), asked)
            whole = np.exp(-recovery * lasting)
            struck = strikes * inside * np.exp(-recovery * (at + lasting - hardest_s))
            here = here * whole + fatigue / recovery * loads[:, phase] * (1 - whole) + struck
            at += lasting
        going &= asked + peak <= 1
        if not going.any():
            break
        done += going
        m = np.where(going, here, m)
    return done


def ode_hold_seconds(load, fatigue, recovery, longest_s):
    """Time to failure of one hold by the full equations, with resting, active and fatigued compartments."""

    def change(_, compartments):
        resting, active, spent = compartments
        drive = FAST * min(load - active, resting)
        return [recovery * spent - drive, drive - fatigue * active, fatigue * active - recovery * spent]

    def failed(_, compartments):
        return 1 - compartments[2] - load

    failed.terminal = True
    start = [1 - load, load, 0.0]
    done = solve_ivp(change, (0, longest_s), start, events=failed, rtol=1e-8, atol=1e-10, max_step=longest_s / 50)
    return done.t[-1] if done.status == 1 else np.inf


def ode_reps(m, loads, seconds, fatigue, recovery, hardest_s, peak, strikes, most):
    """Repetitions of one case by the full equations.

    At each hardest point the fatigued part must leave `peak`; then `strikes` more goes from resting to fatigued.
    """

    def change(_, compartments, load):
        resting, active, spent = compartments
        drive = FAST * min(load - active, resting)  # below zero where less is asked than is active
        return [recovery * spent - drive, drive - fatigue * active, fatigue * active - recovery * spent]

    compartments = np.array([1 - m - min(loads[0], 1 - m), min(loads[0], 1 - m), m])
    for rep in range(most):
        at = 0.0
        for load, lasting in zip(loads, seconds, strict=True):
            if lasting <= 0:
                continue
            stops = sorted({lasting} | ({hardest_s - at} if 0 < hardest_s - at <= lasting else set()))
            begun = 0.0
            for stop in stops:
                if stop > begun:
                    found = solve_ivp(
                        change, (begun, stop), compartments, args=(load,), method="LSODA", rtol=1e-7, atol=1e-9
                    )
                    compartments, begun = found.y[:, -1], stop
                if abs(at + stop - hardest_s) < 1e-9:
                    if compartments[2] + peak > 1:
                        return rep
                    compartments = compartments + np.array([-strikes, 0.0, strikes])
            at += lasting
    return most


def ode_parts(parts, course, fatigue, recovery, slow_share, rest_rates):
    """The quick and the slow part after a course of (load, seconds, strike at its end) by the full equations, with
    resting, active, quick and slow compartments; a load of None is rest.
    """

    def work(_, compartments, load):
        resting, active, quick, slow = compartments
        drive, tired = FAST * min(load - active, resting), fatigue * active
        made = [(1 - slow_share) * tired, slow_share * tired]
        return [recovery * (quick + slow) - drive, drive - tired, made[0] - recovery * quick, made[1] - recovery * slow]

    def idle(_, compartments, __):
        _, active, quick, slow = compartments
        back = [rest_rates[0] * quick, rest_rates[1] * slow]
        return [sum(back) + FAST * active, -FAST * active, -back[0], -back[1]]

    compartments = np.array([1 - sum(parts), 0.0, *parts])
    for load, seconds, strike in course:
        change = idle if load is None else work
        found = solve_ivp(change, (0, seconds), compartments, args=(load,), method="LSODA", rtol=1e-8, atol=1e-11)
        compartments = found.y[:, -1] + strike * np.array([-1.0, 0.0, 1 - slow_share, slow_share])
    return compartments[2:]
