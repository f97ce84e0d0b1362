"""A contact sheet: a still of each set from the recording, in the film's order, with its name and time."""

from collections.abc import Iterator, Sequence
from pathlib import Path

import av
import numpy as np

from everyrung.lookback.film.material import Material
from everyrung.lookback.film.picture import Rgb, stills
from everyrung.publish.video.layout import Line
from everyrung.publish.video.raster import WORDS, cover_of, rasters, tokens
from everyrung.score.marks import cut, wrap
from everyrung.store.files import replacement
from everyrung.terms.errors import require
from everyrung.terms.seconds import moment_text

WIDE, GAP, COLUMNS = 320, 16, 5  # px of a still, px around it, stills in a row; chosen: 1,700 px are a screen's breadth
TALLEST = 568  # of a still that is taller than broad, px
NAME_SIZE, TIME_SIZE, LINE_HIGH = 18, 16, 26
WITHIN = 0.5  # of a set's work: where its still is from; chosen, for people are then in the move


def contact_sheet(film: Material) -> Rgb:
    """The sheet as a picture. Raises Invalid for a recording without pictures, or without a set that is known."""
    require(film.picture.has_picture, "film", "a recording with pictures for a contact sheet", film.path.name)
    takes = film.choice
    require(bool(takes), "film", "a set whose time in the recording is known", "none")
    at_ms = [take.work_ms + WITHIN * (take.work_end_ms - take.work_ms) for take in takes]
    pictures = list(stills(film.path, at_ms, WIDE))
    high = max([each.shape[0] for each in pictures if each is not None], default=WIDE * 9 // 16)
    high = min(high, TALLEST)
    texts = [
        (*_name(f"{number}. {film.sets[take.place].name}"), Line(words=_time(each), size=TIME_SIZE, colour="soft"))
        for number, (take, each) in enumerate(zip(takes, at_ms, strict=True), start=1)
    ]
    return _sheet(pictures, texts, high)


def _name(words: str) -> Iterator[Line]:
    for row in wrap(words, WIDE, NAME_SIZE, 2) or (cut(words, WIDE, NAME_SIZE),):
        yield Line(words=row, size=NAME_SIZE, bold=True)


def _time(at_ms: float) -> str:
    return f"{moment_text(int(at_ms))} in the recording"


def _sheet(pictures: Sequence[Rgb | None], texts: Sequence[tuple[Line, ...]], high: int) -> Rgb:
    cell_high, cell_wide = high + LINE_HIGH * max(map(len, texts)) + 2 * GAP, WIDE + GAP
    row_count, columns = -(-len(pictures) // COLUMNS), min(COLUMNS, len(pictures))
    sheet = np.empty((GAP + row_count * cell_high, GAP + columns * cell_wide, 3), np.uint8)
    sheet[:] = _rgb("paper")
    lines = [line for rows in texts for line in rows]
    items = [{"words": each.words, "size": each.size, "weight": 600 if each.bold else 400} for each in lines]
    greys = iter(rasters(WORDS, items))
    for place, (picture, rows) in enumerate(zip(pictures, texts, strict=True)):
        y, x = GAP + place // COLUMNS * cell_high, GAP + place % COLUMNS * cell_wide
        sheet[y : y + high, x : x + WIDE] = _rgb("line")  # what stands where a still is missing
        if picture is not None:
            part = picture[:high, :WIDE]
            sheet[y : y + part.shape[0], x : x + part.shape[1]] = part
        for number, line in enumerate(rows):
            cover = cover_of(next(greys))[:LINE_HIGH, :WIDE, np.newaxis] / 255
            top = y + high + 4 + number * LINE_HIGH
            piece = sheet[top : top + cover.shape[0], x : x + cover.shape[1]]
            piece[:] = np.rint(piece + cover * (np.array(_rgb(line.colour)) - piece))
    return sheet


def _rgb(colour: str) -> tuple[int, int, int]:
    code = tokens()[colour]
    return int(code[1:3], 16), int(code[3:5], 16), int(code[5:7], 16)


def write_contact_sheet(film: Material, path: Path) -> None:
    """As PNG. Raises Invalid as `contact_sheet`."""
    sheet = contact_sheet(film)
    encoder = av.CodecContext.create("png", "w")
    encoder.width, encoder.height, encoder.pix_fmt = sheet.shape[1], sheet.shape[0], "rgb24"
    packets = [*encoder.encode(av.VideoFrame.from_ndarray(sheet, format="rgb24")), *encoder.encode(None)]
    with replacement(path) as part:
        part.write_bytes(b"".join(map(bytes, packets)))
