"""An edit list: each set's take in the plan's order, other takes beside it, and what was cut and why.

OpenTimelineIO holds all of it. The plainer EDL (CMX 3600) is written by that format's own adapter, with what it loses.
"""

import importlib.util
from collections.abc import Iterator
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from everyrung.lookback.film.material import Cut, Material
from everyrung.lookback.passages import Take
from everyrung.terms.errors import Invalid

if TYPE_CHECKING:
    import opentimelineio as otio

EDL_LOSES = (
    "An EDL holds one track of pictures: no sound track, no other takes, no metadata (plan times, sides, still poses), "
    "no marks of rounds; its marks are in capitals, names of reels have 8 characters. The .otio file has all of it."
)
REEL = "FILM"


def is_possible() -> bool:
    """Whether OpenTimelineIO is installed."""
    return importlib.util.find_spec("opentimelineio") is not None


def edit_list(film: Material) -> "otio.schema.Timeline":
    """The timeline; raises Invalid where OpenTimelineIO is not installed."""
    if not is_possible():
        remedy = "Install it: pip install 'everyrung[film]'."
        raise Invalid("film", "OpenTimelineIO for an edit list", "none", remedy=remedy)
    import opentimelineio as otio

    timeline = otio.schema.Timeline(name=film.analysis.session.title)
    pictures, sound, others = (
        otio.schema.Track(name=name, kind=kind)
        for name, kind in (
            ("Session", otio.schema.TrackKind.Video),
            ("Sound", otio.schema.TrackKind.Audio),
            ("Other takes", otio.schema.TrackKind.Video),
        )
    )
    starts: dict[int, int] = {}
    for take in film.choice:
        starts[take.place] = _frames(pictures)
        for clip in _clips(film, take):
            pictures.append(clip)
            sound.append(clip.deepcopy())
    _mark_cuts(film, pictures)
    for take in film.takes:
        if take not in film.choice:
            _beside(film, others, take, starts[take.place])
    timeline.tracks.extend([pictures, others, sound] if len(others) else [pictures, sound])
    _mark_rounds(film, timeline, starts)
    timeline.metadata["everyrung"] = {"cuts": [_cut_values(each) for each in film.cuts]}
    return timeline


def _frames(track: "otio.schema.Track") -> int:
    return sum(round(each.duration().value) for each in track)


def _range(film: Material, at_ms: float, end_ms: float) -> Any:
    """From and to as frames of the one rate, each rounded once from its own time."""
    import opentimelineio as otio

    first, last = (_frame(each, film.picture.rate) for each in (at_ms, end_ms))
    rate = float(film.picture.rate)
    return otio.opentime.TimeRange(
        otio.opentime.RationalTime(first, rate), otio.opentime.RationalTime(max(1, last - first), rate)
    )


def _frame(at_ms: float, rate: Fraction) -> int:
    return round(at_ms * rate / 1000)


def _clips(film: Material, take: Take) -> Iterator[Any]:
    """A clip a piece; the first has marks where its work begins and ends."""
    import opentimelineio as otio

    plan_set = film.sets[take.place]
    pieces = film.pieces_of(take)
    for number, (at_ms, end_ms) in enumerate(pieces, start=1):
        part = f", part {number} of {len(pieces)}" if len(pieces) > 1 else ""
        clip = otio.schema.Clip(name=plan_set.name + part, source_range=_range(film, at_ms, end_ms))
        clip.media_reference = otio.schema.ExternalReference(
            target_url=film.path.name, available_range=_range(film, 0, film.picture.length_ms)
        )
        clip.metadata["everyrung"] = {
            "set": plan_set.ref,
            "side": str(plan_set.bout.side),
            "plan_ms": plan_set.work_at_ms,
            "whole": take.is_whole,
            "pick_up": take.is_pick_up,
            "still": f"{plan_set.cell.rung.form.position}, still, as at “{plan_set.cell.rung.form.phases[-1]}”",
            "times": "beeps" if film.passages else "words, to a few seconds",
        }
        clip.metadata["cmx_3600"] = {"reel": REEL}
        for words, mark_ms in (("GO", take.work_ms), ("END", take.work_end_ms)):
            if at_ms <= mark_ms <= end_ms:
                clip.markers.append(_mark(film, words, mark_ms, otio.schema.MarkerColor.GREEN))
        yield clip


def _mark(film: Material, words: str, at_ms: float, colour: str) -> Any:
    """At a time of the recording, as marks on clips are."""
    import opentimelineio as otio

    return otio.schema.Marker(name=words, marked_range=_range(film, at_ms, at_ms + 1), color=colour)


def _beside(film: Material, others: "otio.schema.Track", take: Take, start: int) -> None:
    """Another take where its set is in the film, off until somebody wants it; later if another is still on."""
    import opentimelineio as otio

    rate = float(film.picture.rate)
    room = start - _frames(others)
    if room > 0:
        others.append(otio.schema.Gap(duration=otio.opentime.RationalTime(room, rate)))
    for clip in _clips(film, take):
        clip.enabled = False
        others.append(clip)


def _mark_cuts(film: Material, pictures: "otio.schema.Track") -> None:
    """On the clip after each cut: what is not there, and why."""
    import opentimelineio as otio

    for cut in film.cuts:
        after = min(
            (clip for clip in pictures if _frame(cut.end_ms, film.picture.rate) <= clip.source_range.start_time.value),
            key=lambda clip: clip.source_range.start_time.value,
            default=None,
        )
        if after is not None:
            mark = otio.schema.Marker(
                name=f"Cut before this, {(cut.end_ms - cut.at_ms) / 1000:.1f} s: {cut.why}",
                color=otio.schema.MarkerColor.RED,
                marked_range=otio.opentime.TimeRange(
                    after.source_range.start_time, otio.opentime.RationalTime(1, float(film.picture.rate))
                ),
            )
            mark.metadata["everyrung"] = _cut_values(cut)
            after.markers.append(mark)


def _mark_rounds(film: Material, timeline: "otio.schema.Timeline", starts: dict[int, int]) -> None:
    """On the whole film, where each round begins."""
    import opentimelineio as otio

    rate = float(film.picture.rate)
    before = None
    for place, start in sorted(starts.items()):
        ref = film.sets[place].cell.ref
        if (ref.block, ref.round) != before:
            before = (ref.block, ref.round)
            name = ref.block if ref.round == ref.block else f"{ref.block}, {ref.round}"
            at = otio.opentime.TimeRange(otio.opentime.RationalTime(start, rate), otio.opentime.RationalTime(1, rate))
            timeline.tracks.markers.append(
                otio.schema.Marker(name=name, marked_range=at, color=otio.schema.MarkerColor.BLUE)
            )


def _cut_values(cut: Cut) -> dict[str, object]:
    return {"at_ms": round(cut.at_ms), "end_ms": round(cut.end_ms), "why": cut.why}


def edl_text(timeline: "otio.schema.Timeline", rate: Fraction) -> str:
    """The first track of pictures as an EDL, with a remark that says what it has not. Raises Invalid without the
    adapter, and where the rate is one that the format does not know.
    """
    import opentimelineio as otio

    if "cmx_3600" not in otio.adapters.available_adapter_names():
        remedy = "Install it: pip install 'everyrung[film]'."
        raise Invalid("film", "the adapter otio-cmx3600-adapter for an EDL", "none", remedy=remedy)
    alone = otio.schema.Timeline(name=timeline.name)
    alone.tracks.append(timeline.video_tracks()[0].deepcopy())
    try:
        text: str = otio.adapters.write_to_string(alone, adapter_name="cmx_3600", rate=float(rate))
    except (otio.exceptions.OTIOError, ValueError) as problem:
        raise Invalid("film", "times that an EDL can hold", str(problem)) from None
    return f"{text.rstrip()}\n* {EDL_LOSES}\n"  # as a remark on the last clip, for readers know none before the first


def text(timeline: "otio.schema.Timeline") -> str:
    """The whole of it, as OpenTimelineIO's own JSON."""
    import opentimelineio as otio

    result: str = otio.adapters.write_to_string(timeline, adapter_name="otio_json")
    return result
