"""Dirty heart-rate files, as watches and their makers' sites write them: our cases F13 to F22."""

from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from everyrung.lookback.heart_file import HeartFile, read_heart
from everyrung.terms.errors import Invalid

# Five records of a second each, the second and third 255; the same with 16 bytes behind, and with a wrong check sum.
MISSING = (
    "0e205408440000002e464954bc124000000000010001000004410000140002fd0486030102420000150003fd0486000100010100010031c24362"
    "010131c243ff010231c243ff010331c24378010431c24379494a"
)
# Two seconds, a stop of a minute between two timer events, two seconds.
PAUSE = (
    "0e205408530000002e464954fcf84000000000010001000004410000140002fd0486030102420000150003fd0486000100010100020031c24300"
    "00010031c24364010131c24365020231c2430004023e31c2430000013e31c24358013f31c2435a4375"
)
# Readings 6 and 13 s apart and no event between.
SPARSE = (
    "0e205408460000002e4649543dcb4000000000010001000004410000140002fd0486030102420000150003fd0486000100010100020031c24300"
    "00010031c24382010631c24389011331c2438b021431c2430004bfa1"
)
WRONG_SUM = MISSING[:-4] + "1c4a"


def tcx(*values: str | None) -> str:
    rates = ["" if value is None else f"<HeartRateBpm><Value>{value}</Value></HeartRateBpm>" for value in values]
    points = [
        f"<Trackpoint><Time>2026-01-10T09:00:{second:02d}Z</Time>{rate}</Trackpoint>"
        for second, rate in enumerate(rates)
    ]
    return f'<?xml version="1.0"?><A xmlns="urn:tcx/v2"><Lap><Track>{"".join(points)}</Track></Lap></A>'


def gpx(*points: tuple[str, int], prefix: str = "gpxtpx", place: str = 'lat="0" lon="0"') -> str:
    rows = "".join(
        f"<trkpt {place}><time>{at}</time><extensions><{prefix}:hr>{bpm}</{prefix}:hr></extensions></trkpt>"
        for at, bpm in points
    )
    return f'<?xml version="1.0"?><gpx xmlns="urn:gpx" xmlns:{prefix}="urn:x"><trk><trkseg>{rows}</trkseg></trk></gpx>'


def read(folder: Path, content: str | bytes, zone: ZoneInfo | None = None) -> HeartFile:
    path = folder / "watch"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return read_heart(path, zone)


def rates(file: HeartFile) -> list[float | None]:
    return [each.bpm for each in file.readings]


def test_rates_are_paired_with_their_times_and_no_place_is_needed(tmp_path: Path) -> None:
    """F13, F14."""
    assert rates(read(tmp_path, tcx("100", "104", None, None, "120", "122"))) == [100, 104, None, None, 120, 122]
    assert rates(read(tmp_path, gpx(("2026-03-19T09:00:00Z", 121), place=""))) == [121]


def test_empty_zero_and_one_are_no_rate(tmp_path: Path) -> None:
    """F15: a mean of 43 where the one true value is 130."""
    assert rates(read(tmp_path, tcx("100", "", "110"))) == [100, None, 110]
    assert rates(read(tmp_path, tcx("0", "1", "130"))) == [None, None, 130]


def test_255_is_no_rate(tmp_path: Path) -> None:
    """F17."""
    file = read(tmp_path, bytes.fromhex(MISSING))
    assert rates(file) == [98, None, None, 120, 121]
    assert file.problems == ()


def test_bytes_behind_and_a_wrong_check_sum_are_reported_and_read(tmp_path: Path) -> None:
    """F19."""
    behind = read(tmp_path, bytes.fromhex(MISSING) + bytes(16))
    assert rates(behind) == [98, None, None, 120, 121]
    assert behind.problems == ("16 bytes after its end were skipped",)
    wrong = read(tmp_path, bytes.fromhex(WRONG_SUM))
    assert rates(wrong) == [98, None, None, 120, 121]
    assert "checksum" in wrong.problems[0]
    cut = read(tmp_path, bytes.fromhex(MISSING)[:-8])
    assert rates(cut)[:3] == [98, None, None]
    assert any("breaks off" in problem for problem in cut.problems)


def test_a_pause_is_a_pause_and_sparse_is_none(tmp_path: Path) -> None:
    """F20."""
    pause, sparse = read(tmp_path, bytes.fromhex(PAUSE)), read(tmp_path, bytes.fromhex(SPARSE))
    assert [each.after_pause for each in pause.readings] == [False, False, True, False]
    assert [each.after_pause for each in sparse.readings] == [False] * 3
    assert rates(sparse) == [130, 137, 139]


def test_two_tracks_have_a_pause_between(tmp_path: Path) -> None:
    text = tcx("100", "104").replace("</Trackpoint><Trackpoint>", "</Trackpoint></Track><Track><Trackpoint>")
    assert [each.after_pause for each in read(tmp_path, text).readings] == [True, True]


def test_times_come_to_utc_and_a_zone_is_asked_for(tmp_path: Path) -> None:
    """F22."""
    file = read(tmp_path, gpx(("2026-03-19T15:49:10-07:00", 121), ("2026-03-19T22:49:11.175000Z", 122), prefix="ns3"))
    first, second = (each.at for each in file.readings)
    assert first == datetime(2026, 3, 19, 15, 49, 10, tzinfo=timezone(timedelta(hours=-7)))
    assert second - first == timedelta(seconds=1, microseconds=175_000)
    with pytest.raises(Invalid, match="zone"):
        read(tmp_path, gpx(("2026-03-19T09:00:00", 121)))
    local = read(tmp_path, gpx(("2026-03-19T09:00:00", 121)), ZoneInfo("Europe/Helsinki"))
    assert local.readings[0].at == datetime(2026, 3, 19, 7, 0, tzinfo=UTC)


@pytest.mark.parametrize("content", ["", "hello", "<a>", "<a/>", tcx(None), b"\x0e\x20\x54\x08\x00\x00\x00\x00.FIT"])
def test_what_is_no_heart_rate_is_refused_in_a_sentence(content: str | bytes, tmp_path: Path) -> None:
    with pytest.raises(Invalid) as refusal:
        read(tmp_path, content)
    assert "\n" not in str(refusal.value)
