"""What is wrong in a file that others will play or import: captions, chapters, calendars."""

from dataclasses import dataclass

from everyrung.terms.errors import plain_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing at `line` (from 1; 0 for the whole file). `put_right`: what was read has it put right already."""

    line: int
    what: str
    expected: str
    got: str
    put_right: bool
    remedy: str

    def __str__(self) -> str:
        place = f"line {self.line}: " if self.line else ""
        end = "put right in what was read. " if self.put_right else ""
        return f"{place}{self.what}: expected {self.expected}; got {plain_text(self.got)}; {end}{self.remedy}"
