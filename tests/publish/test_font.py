"""The font inside a page is the package's own, packed by the book."""

import struct
import zlib

import pytest

from everyrung.publish.pages import WEIGHTS, font_folder, woff


@pytest.mark.parametrize("name", WEIGHTS.values())
def test_a_packed_font_unpacks_to_the_same_tables(name: str) -> None:
    # W3C Recommendation "WOFF File Format 1.0", sections 3 (header) and 4 (table directory)
    font = (font_folder() / f"HankenGrotesk-{name}.otf").read_bytes()
    packed = woff(font)
    signature, flavour, length, count, reserved, whole = struct.unpack_from(">4s4sLHHL", packed)
    assert (signature, flavour, length, reserved) == (b"wOFF", font[:4], len(packed), 0)
    found = {}
    for place in range(count):
        tag, at, stored, original, checksum = struct.unpack_from(">4sLLLL", packed, 44 + 20 * place)
        assert at % 4 == 0
        table = packed[at : at + stored]
        found[tag] = (zlib.decompress(table) if stored < original else table, checksum)
        assert len(found[tag][0]) == original
    assert list(found) == sorted(found)
    expected = {}
    for place in range(struct.unpack_from(">H", font, 4)[0]):
        tag, checksum, at, size = struct.unpack_from(">4sLLL", font, 12 + 16 * place)
        expected[tag] = (font[at : at + size], checksum)
    assert found == expected
    assert whole == 12 + 16 * count + sum(-(-len(table) // 4) * 4 for table, _ in expected.values())
    assert len(packed) < len(font) / 2
