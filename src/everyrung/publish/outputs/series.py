"""A weekly class for people's calendars."""

from datetime import UTC, datetime
from hashlib import sha256

from everyrung.publish.calendar import calendar
from everyrung.publish.output import Files, Need, Order, output
from everyrung.store.files import replace_bytes


@output("calendar", ("series.ics",), "the series for calendars", needs=(Need.SERIES,), place=50)
def series_file(order: Order) -> Files:
    """One file (RFC 5545); made again, it replaces the series in people's calendars."""
    series, title = order.series, order.run.session.title
    assert series is not None  # it needs one
    uid = f"{sha256(f'{title}|{series.starts.isoformat()}'.encode()).hexdigest()[:24]}@everyrung.invalid"
    path = order.folder / "series.ics"
    replace_bytes(path, calendar(series, uid, datetime.now(UTC)))
    yield path, "the series for calendars"
