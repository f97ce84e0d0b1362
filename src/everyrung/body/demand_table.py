"""Demands of the library's rungs on the reference bodies, computed ahead and shipped: read, and put in between.

The table is a zip file of one entry a form (a rung without how heavy), with a few loads where it holds pieces. Numbers
are kept to 1 part in 16,000. It is used as long as the code that made it is the code that is here; else all is
computed.
Between two loads each number is taken linearly, if the body can hold the rung with both; if not, nothing is said.
"""

import zipfile
import zlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from pathlib import Path

import msgspec
import numpy as np
from numpy.typing import NDArray

from everyrung.terms.demand import Bearing, GroupDemand, Joint, MotionDemand, RungDemand, SelfCheckResult
from everyrung.terms.person import BodySize

Array = NDArray[np.float64]
NAME = "library_demand.zip"
ENGINE = "engine"  # the entry that says which code made the rest
SCALARS = (
    "load_kg", "trunk_nm", "balance_m", "sideways_m", "work_j", "above_rest_w", "farthest_mm", "farthest_deg",
)  # fmt: skip
PER_MOTION = 5  # columns: moment, part of strength, its mean, and where and when it is hardest; then the phases
KEPT_BITS = 14  # of a number's fraction; chosen, because that is far below what the model is unsure by
SAME_KG = 1e-6
ANSWERS = 3000  # kept; chosen, because that is 250 versions on 12 bodies, a dozen of which a proposal leads, and 30 MB
WHEN = (1980, 1, 1, 0, 0, 0)  # the earliest a zip file knows, so that the same numbers are the same file


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandArrays:
    """A rung's demands as arrays (axes: load, body, motion, phase): parts of strength by phase, the peak, when it is
    (s); the metabolic power above rest, W (load, body); and how long each phase lasts, s. What a body does not turn is
    zero.
    """

    motions: tuple[str, ...]
    phases: Array
    peaks: Array
    at_s: Array
    power_w: Array
    seconds: Array


def demand_arrays(demands: Sequence[Sequence[RungDemand]]) -> DemandArrays:
    """Demands by load and body as arrays."""
    motions = tuple(dict.fromkeys(each.motion for row in demands for one in row for each in one.motions))
    places = {name: place for place, name in enumerate(motions)}
    shape = len(demands), len(demands[0]), len(motions)
    phases = np.zeros((*shape, len(demands[0][0].phases_ms)))
    peaks, at_s = np.zeros(shape), np.zeros(shape)
    for load, row in enumerate(demands):
        for body, one in enumerate(row):
            columns = [places[each.motion] for each in one.motions]
            if columns:
                phases[load, body, columns] = [each.phases for each in one.motions]
                peaks[load, body, columns] = [each.fraction for each in one.motions]
                at_s[load, body, columns] = [each.at_ms / 1000 for each in one.motions]
    power_w = np.array([[one.above_rest_w for one in row] for row in demands])
    seconds = np.array(demands[0][0].phases_ms) / 1000
    return DemandArrays(motions=motions, phases=phases, peaks=peaks, at_s=at_s, power_w=power_w, seconds=seconds)


class Texts(msgspec.Struct, frozen=True):
    """What a demand says in words: of one body with one load."""

    self_checks: tuple[SelfCheckResult, ...]
    misfits: tuple[str, ...]
    shortfalls: tuple[str, ...]
    has_converged: bool


class FormDemands(msgspec.Struct, frozen=True):
    """One form with its loads on all bodies: names, then numbers (load, body, column) as bytes, and words likewise."""

    sizes: tuple[BodySize, ...]
    loads_kg: tuple[float, ...]
    rep_ms: int
    phases_ms: tuple[float, ...]
    from_memory: tuple[str, ...]
    motions: tuple[str, ...]
    groups: tuple[str, ...]
    contacts: tuple[str, ...]
    joints: tuple[str, ...]
    numbers: bytes
    texts: tuple[tuple[Texts, ...], ...]

    def table(self) -> Array:
        """The numbers (axes: load, body, column), each column in the unit that its name ends in; not a number for what
        a body is not asked for.
        """
        count = len(self.loads_kg) * len(self.sizes)
        planes = np.frombuffer(zlib.decompress(self.numbers), dtype=np.uint8)
        flat = np.ascontiguousarray(planes.reshape(4, -1).T).view(np.float32)
        return flat.reshape(-1, count).T.reshape(len(self.loads_kg), len(self.sizes), -1).astype(float)


@dataclass(frozen=True, slots=True, kw_only=True)
class TableEntry:
    """A form's entry as it was read, with its numbers as `FormDemands.table` has them (axes: load, body, column)."""

    form: FormDemands
    table: Array

    def at(self, size: BodySize, load_kg: float) -> RungDemand | None:
        """The demand on a reference body with this much held in all; None where the table cannot say.

        That is another body, a load beyond the table's, or one between two of which a body cannot hold either.
        """
        rows = self._rows(size, load_kg)
        if rows is None:
            return None
        loads, body = self.form.loads_kg, self.form.sizes.index(size)
        below, above = rows
        if below == above:
            return self._demand(self.table[above, body], above, body)
        share = (load_kg - loads[below]) / (loads[above] - loads[below])
        numbers = between(self.table[below, body], self.table[above, body], share, self._when_columns())
        return self._demand(numbers, above if share >= 0.5 else below, body)

    def has(self, size: BodySize, load_kg: float) -> bool:
        """Whether `at` has an answer."""
        return self._rows(size, load_kg) is not None

    def is_beyond(self, size: BodySize, load_kg: float) -> bool:
        """Whether a reference body can hold the rung neither with the load of the table next below this one nor with
        the one next above; beyond the heaviest that one alone decides. False where the table cannot say.
        """
        loads = self.form.loads_kg
        if size not in self.form.sizes or load_kg < loads[0] - SAME_KG:
            return False
        body = self.form.sizes.index(size)
        below = max(row for row, kg in enumerate(loads) if kg <= load_kg + SAME_KG)
        is_same = abs(loads[below] - load_kg) <= SAME_KG
        above = below if is_same else min(below + 1, len(loads) - 1)
        return not any(self._can_hold(row, body) for row in (below, above))

    def _rows(self, size: BodySize, load_kg: float) -> tuple[int, int] | None:
        """The rows of the loads below and above, or twice the row of this very load; None where `at` has no answer."""
        loads = self.form.loads_kg
        if size not in self.form.sizes or not loads[0] - SAME_KG <= load_kg <= loads[-1] + SAME_KG:
            return None
        exact = next((row for row, kg in enumerate(loads) if abs(kg - load_kg) <= SAME_KG), None)
        if exact is not None:
            return exact, exact
        above = next(row for row, kg in enumerate(loads) if kg > load_kg)
        body = self.form.sizes.index(size)
        return (above - 1, above) if all(self._can_hold(row, body) for row in (above - 1, above)) else None

    def arrays(self, sizes: Sequence[BodySize], loads_kg: Sequence[float]) -> DemandArrays | None:
        """The demands on these bodies with each of these loads, of those that the table has; None for others."""
        rows = [
            next((row for row, kg in enumerate(self.form.loads_kg) if abs(kg - load_kg) <= SAME_KG), None)
            for load_kg in loads_kg
        ]
        if None in rows or not set(sizes) <= set(self.form.sizes):
            return None
        bodies = [self.form.sizes.index(size) for size in sizes]
        numbers = self.table[np.ix_([row for row in rows if row is not None], bodies)]
        first, width, count = len(SCALARS), PER_MOTION + len(self.form.phases_ms), len(self.form.motions)
        by_motion = np.nan_to_num(numbers[..., first : first + count * width].reshape(*numbers.shape[:2], count, width))
        return DemandArrays(
            motions=self.form.motions,
            phases=by_motion[..., PER_MOTION:],
            peaks=by_motion[..., 1],
            at_s=by_motion[..., 4] / 1000,
            power_w=numbers[..., SCALARS.index("above_rest_w")],
            seconds=np.array(self.form.phases_ms) / 1000,
        )

    def _can_hold(self, row: int, body: int) -> bool:
        texts = self.form.texts[row][body]
        return texts.has_converged and not texts.shortfalls

    def _when_columns(self) -> NDArray[np.bool_]:
        """Which columns are where and when, not how much."""
        width = PER_MOTION + len(self.form.phases_ms)
        columns = np.zeros(self.table.shape[2], dtype=bool)
        for motion in range(len(self.form.motions)):
            first = len(SCALARS) + motion * width
            columns[first + 3 : first + 5] = True
        return columns

    def _demand(self, numbers: Array, row: int, body: int) -> RungDemand:
        form, texts = self.form, self.form.texts[row][body]
        values = numbers.tolist()
        scalars = dict(zip(SCALARS, values, strict=False))
        at, width = len(SCALARS), PER_MOTION + len(form.phases_ms)
        motions = []
        for motion in form.motions:
            moment_nm, fraction, mean, depth, at_ms, *phases = values[at : at + width]
            at += width
            if fraction == fraction:  # not a number where this body does not turn it that way
                motions.append(
                    MotionDemand(
                        motion=motion, moment_nm=moment_nm, fraction=fraction, mean_fraction=mean, depth=depth,
                        phases=tuple(phases), at_ms=at_ms,
                    )
                )  # fmt: skip
        pairs = [(values[place], values[place + 1]) for place in range(at, len(values), 2)]
        groups, contacts = len(form.groups), len(form.contacts)
        return RungDemand(
            size=form.sizes[body],
            load_kg=scalars["load_kg"],
            rep_ms=form.rep_ms,
            motions=tuple(motions),
            groups=tuple(
                GroupDemand(group=name, peak=peak, mean=mean)
                for name, (peak, mean) in zip(form.groups, pairs[:groups], strict=True)
            ),
            bearings=tuple(
                Bearing(contact=name, rest_n=or_none(rest), full_n=or_none(full))
                for name, (rest, full) in zip(form.contacts, pairs[groups : groups + contacts], strict=True)
            ),
            joints=tuple(
                Joint(name=name, rest_deg=rest, full_deg=full)
                for name, (rest, full) in zip(form.joints, pairs[groups + contacts :], strict=True)
            ),
            trunk_nm=scalars["trunk_nm"],
            balance_m=or_none(scalars["balance_m"]),
            sideways_m=or_none(scalars["sideways_m"]),
            work_j=scalars["work_j"],
            above_rest_w=scalars["above_rest_w"],
            self_checks=texts.self_checks,
            misfits=texts.misfits,
            farthest_mm=scalars["farthest_mm"],
            farthest_deg=scalars["farthest_deg"],
            shortfalls=texts.shortfalls,
            has_converged=texts.has_converged,
            from_memory=form.from_memory,
            phases_ms=form.phases_ms,
        )


def or_none(value: float) -> float | None:
    """None for what is not a number, else the value in the unit that it has.

    >>> or_none(2.5), or_none(float("nan"))
    (2.5, None)
    """
    return value if value == value else None


def between(low: Array, high: Array, share: float, when: NDArray[np.bool_]) -> Array:
    """Numbers (axis: column) a share of the way from one load to the next, in their own units; of the columns `when`,
    which say where and when a motion is hardest, those of the nearer load.

    A motion that only one of them asks for begins or ends at nothing.

    >>> between(np.array([1.0, 40.0]), np.array([3.0, 60.0]), 0.25, np.array([False, True])).tolist()
    [1.5, 40.0]
    """
    nearer, farther = (high, low) if share >= 0.5 else (low, high)
    near = np.where(np.isnan(nearer), farther, nearer)
    lone = np.isnan(low) ^ np.isnan(high)
    blend = (1 - share) * np.where(lone, np.nan_to_num(low), low) + share * np.where(lone, np.nan_to_num(high), high)
    result: Array = np.where(when, near, blend)
    return result


def round_off(numbers: Array) -> NDArray[np.float32]:
    """Single precision with the last bits of the fraction cut off to the nearest, which leaves less to ship (any axes).

    >>> float(round_off(np.array([100 / 3]))[0])
    33.333984375
    """
    drop = 23 - KEPT_BITS
    bits = numbers.astype(np.float32).view(np.uint32)
    nearest = ((bits.astype(np.uint64) + (1 << (drop - 1))) >> drop << drop).astype(np.uint32).view(np.float32)
    return np.where(np.isnan(numbers), np.float32(np.nan), nearest).astype(np.float32)


def form_demands(loads_kg: Sequence[float], demands: Sequence[Sequence[RungDemand]]) -> FormDemands:
    """One entry of the table from demands (axes: load, body) with all that is held, kg, in each row."""
    every = [one for row in demands for one in row]
    motions = tuple(dict.fromkeys(each.motion for one in every for each in one.motions))
    contacts = tuple(dict.fromkeys(each.contact for one in every for each in one.bearings))
    first = every[0]
    columns = round_off(np.array([_numbers(one, motions, contacts) for one in every]).T)
    planes = np.ascontiguousarray(columns).view(np.uint8).reshape(-1, 4).T
    return FormDemands(
        sizes=tuple(one.size for one in demands[0]),
        loads_kg=tuple(loads_kg),
        rep_ms=first.rep_ms,
        phases_ms=first.phases_ms,
        from_memory=first.from_memory,
        motions=motions,
        groups=tuple(each.group for each in first.groups),
        contacts=contacts,
        joints=tuple(each.name for each in first.joints),
        numbers=zlib.compress(planes.tobytes(), 9),
        texts=tuple(
            tuple(
                Texts(
                    self_checks=one.self_checks,
                    misfits=one.misfits,
                    shortfalls=one.shortfalls,
                    has_converged=one.has_converged,
                )
                for one in row
            )
            for row in demands
        ),
    )


def _numbers(one: RungDemand, motions: Sequence[str], contacts: Sequence[str]) -> list[float]:
    by_motion, by_contact = {each.motion: each for each in one.motions}, {each.contact: each for each in one.bearings}
    nothing = float("nan")
    numbers = [nothing if getattr(one, name) is None else float(getattr(one, name)) for name in SCALARS]
    for name in motions:
        each = by_motion.get(name)
        numbers += (
            [each.moment_nm, each.fraction, each.mean_fraction, each.depth, each.at_ms, *each.phases]
            if each
            else [nothing] * (PER_MOTION + len(one.phases_ms))
        )
    numbers += [value for group in one.groups for value in (group.peak, group.mean)]
    for name in contacts:
        bearing = by_contact.get(name)
        ends = (bearing.rest_n, bearing.full_n) if bearing else (None, None)
        numbers += [nothing if value is None else value for value in ends]
    return numbers + [value for joint in one.joints for value in (joint.rest_deg, joint.full_deg)]


class DemandTable:
    """The shipped table at `path`, if the engine that made it is this `engine`; entries are read when asked for."""

    def __init__(self, path: Path, engine: str) -> None:
        self._path, self._engine = path, engine
        self._read: dict[str, TableEntry | None] = {}
        self._names: frozenset[str] | None = None
        self._file: zipfile.ZipFile | None = None  # kept open once read from, for its directory takes long to read
        self._latest = lru_cache(maxsize=ANSWERS)(self._at)  # several threads may ask

    @property
    def names(self) -> frozenset[str]:
        """The keys of all forms that it has; none when another engine made it, or it cannot be read."""
        if self._names is None:
            self._names = self._keys()
        return self._names

    def _keys(self) -> frozenset[str]:
        try:
            with zipfile.ZipFile(self._path) as file:
                made_by = file.read(ENGINE).decode()
                return frozenset(file.namelist()) - {ENGINE} if made_by == self._engine else frozenset()
        except (OSError, KeyError, zipfile.BadZipFile, UnicodeDecodeError):
            return frozenset()

    def find(self, keys: Iterable[str]) -> Mapping[str, TableEntry]:
        """The entries of these keys, of those that it has."""
        names = self.names.intersection(keys)
        new = sorted(names - self._read.keys())
        if new:
            try:
                self._file = self._file or zipfile.ZipFile(self._path)
                for key in new:
                    form = msgspec.msgpack.decode(self._file.read(key), type=FormDemands)
                    self._read[key] = TableEntry(form=form, table=form.table())
            except (OSError, KeyError, zipfile.BadZipFile, zlib.error, ValueError, msgspec.MsgspecError):
                self._names = frozenset()  # spoilt: all is computed
                return {}
        return {key: entry for key in names if (entry := self._read.get(key)) is not None}

    def at(self, key: str, size: BodySize, load_kg: float) -> RungDemand | None:
        """What the entry of this key says of a reference body with this much held in all; None where it cannot say. A
        proposal tries the same versions again and again, and to make a demand of the numbers takes a third of a ms.
        """
        return self._latest(key, size, load_kg)

    def _at(self, key: str, size: BodySize, load_kg: float) -> RungDemand | None:
        entry = self.find([key]).get(key)
        return entry.at(size, load_kg) if entry else None


def write_table(path: Path, engine: str, forms: Mapping[str, FormDemands]) -> None:
    """Writes the table whole, and only then in the place of an older one."""
    new = path.with_suffix(".new")
    with zipfile.ZipFile(new, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as file:
        file.writestr(zipfile.ZipInfo(ENGINE, WHEN), engine)
        for key in sorted(forms):
            entry = zipfile.ZipInfo(key, WHEN)
            file.writestr(entry, msgspec.msgpack.encode(forms[key]), zipfile.ZIP_DEFLATED, 9)
    new.replace(path)


def package_path() -> Path:
    """Where the table that comes with the program is."""
    return Path(str(files("everyrung.body") / NAME))


@cache
def package_table(engine: str) -> DemandTable:
    """The table that comes with the program, for this engine."""
    return DemandTable(package_path(), engine)
