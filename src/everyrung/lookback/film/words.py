"""Captions of what was said, with the plan's own words where the transcript mistook them; every change is marked."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rapidfuzz.distance import Levenshtein

from everyrung.lookback.film.material import Material
from everyrung.lookback.hits import Hit
from everyrung.lookback.loops import loops
from everyrung.lookback.outcome import Outcome
from everyrung.lookback.transcript import TimedWord, plain_words
from everyrung.lookback.vocabulary import Role, sound
from everyrung.publish.captions.fit import captions
from everyrung.publish.captions.format import Caption, stamp, vtt
from everyrung.terms.enums import CueKind
from everyrung.terms.sentences import upper_first
from everyrung.terms.timeline import CueTrack, SaidCue, Track
from everyrung.terms.units import clock_text

NEAR_MS = 20_000  # from a set to where its name is looked for in what was heard; chosen: a longer lead is no lead
LEAST_LIKE = 0.5  # of a mistaken word to the one that the plan has there; chosen, "lunch" and "lunge" have 0.6
MOST_OFF = 0.4  # of a line's words that may be others, or the line was not said so; chosen
LEAST_WORDS = 4  # of such a line; chosen: shorter ones are said by chance
PAUSE_MS = 700  # of silence after which a new sentence begins; chosen, because within one it is mostly under half
MOST_WORDS = 14  # of one sentence; chosen, because two lines hold so many


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptionWord:
    """A word as it is shown, where `source` stood in the transcript, which is empty where nothing was changed."""

    text: str
    at_ms: int
    end_ms: int
    source: str = ""


def caption_words(film: Material, outcome: Outcome) -> tuple[CaptionWord, ...]:
    """What was said, without what a machine made up over music: moves' names and sentences of the plan are spelt as the
    plan has them.
    """
    words = outcome.transcript.words
    texts: dict[int, str] = {}
    _protect_names(film, outcome, texts)
    _protect_sentences(film, words, texts)
    made_up = {place for loop in loops(words, outcome.hits) for place in range(loop.first, loop.end)}
    result = []
    for place, word in enumerate(words):
        text = texts.get(place, word.text)
        if place not in made_up and text:
            is_other = plain_words(text) != [word.text]
            result.append(
                CaptionWord(text=text, at_ms=word.at_ms, end_ms=word.end_ms, source=word.text if is_other else "")
            )
    return tuple(result)


def _protect_names(film: Material, outcome: Outcome, texts: dict[int, str]) -> None:
    """A name that is nearly heard where its set is led is that name."""
    for hit in outcome.hits:
        if hit.phrase.role in (Role.NAME, Role.AGAIN) and hit.likeness < 1 and _is_led_near(film, hit):
            there = outcome.transcript.words[hit.first : hit.end]
            _put(texts, hit.first, [word.text for word in there], list(hit.phrase.words))


def _is_led_near(film: Material, hit: Hit) -> bool:
    places = {place for place, _ in hit.phrase.sets}
    return any(
        take.pieces[0][0] - NEAR_MS <= hit.at_ms <= take.pieces[-1][1] for take in film.takes if take.place in places
    )


def _put(texts: dict[int, str], first: int, there: Sequence[str], right: Sequence[str]) -> None:
    """The right words in the place of those heard: one for one where there are as many, else all at the first."""
    if len(there) == len(right):
        for place, (was, now) in enumerate(zip(there, right, strict=True), first):
            if was != now:
                texts[place] = now
        return
    texts[first] = " ".join(right)
    for place in range(first + 1, first + len(there)):
        texts[place] = ""


def _protect_sentences(film: Material, words: Sequence[TimedWord], texts: dict[int, str]) -> None:
    """Where most of a line of the script is heard in its time, it is that line, with its capitals and stops."""
    track = next((each for each in film.analysis.cues if each.track is Track.FIRST), None)
    starts = [word.at_ms for word in words]
    for passage in film.passages if track else ():
        for cue in track.said if track else ():
            if not passage.plan_ms <= cue.at_ms < passage.plan_end_ms or passage.way:
                continue
            middle = passage.at(cue.at_ms)
            places = [place for place, at_ms in enumerate(starts) if abs(at_ms - middle) <= NEAR_MS]
            if places:
                _lay(cue.text.split(), [words[place].text for place in places], places[0], texts)


def _lay(line: list[str], there: list[str], first: int, texts: dict[int, str]) -> None:
    plain = ["".join(plain_words(word)) for word in line]
    if len(plain) < LEAST_WORDS:
        return
    pairs = list(_pairs(plain, there))
    same = [(at, place) for at, place in pairs if plain[at] == there[place]]
    if len(same) < (1 - MOST_OFF) * len(plain) or not same:
        return
    if same[-1][1] - same[0][1] > 2 * len(plain):  # the same words, but scattered
        return
    for at, place in pairs:
        if same[0][1] <= place <= same[-1][1] and _like(plain[at], there[place]) >= LEAST_LIKE:
            texts[first + place] = line[at]


def _pairs(plain: Sequence[str], there: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Words of both that stand for one another: the fewest changes from one to the other."""
    for step in Levenshtein.opcodes(plain, there):
        if step.tag in ("equal", "replace"):
            count = min(step.src_end - step.src_start, step.dest_end - step.dest_start)
            yield from ((step.src_start + each, step.dest_start + each) for each in range(count))


def _like(one: str, other: str) -> float:
    """By spelling, or half by sound, as names are compared."""
    spelling = Levenshtein.normalized_similarity(one, other)
    return max(spelling, (spelling + Levenshtein.normalized_similarity(sound(one), sound(other))) / 2)


def film_captions(words: Sequence[CaptionWord]) -> tuple[Caption, ...]:
    """The words as captions that can be read: parted at silences, each for as long as it takes."""
    cues: list[SaidCue] = []
    for sentence in _sentences(words):
        begin_ms = max(sentence[0].at_ms, cues[-1].end_ms if cues else 0)
        end_ms = max(sentence[-1].end_ms, begin_ms + 1)
        text = " ".join(word.text for word in sentence)
        cues.append(SaidCue(at_ms=begin_ms, end_ms=end_ms, kind=CueKind.FORM, text=upper_first(text), ref=None))
    return captions(CueTrack(track=Track.FIRST, said=tuple(cues))).captions if cues else ()


def _sentences(words: Sequence[CaptionWord]) -> Iterator[list[CaptionWord]]:
    sentence: list[CaptionWord] = []
    for word in words:
        if sentence and (
            word.at_ms - sentence[-1].end_ms > PAUSE_MS
            or len(sentence) >= MOST_WORDS
            or sentence[-1].text.endswith((".", "!", "?"))
        ):
            yield sentence
            sentence = []
        sentence.append(word)
    if sentence:
        yield sentence


def unsure_lines(words: Sequence[CaptionWord]) -> Iterator[str]:
    """What to listen to before the captions are shown: time, what stands there now, what was heard."""
    for place, word in enumerate(words):
        if word.source:
            around = [replace(each, text=f"*{each.text}*") if each is word else each for each in _near(words, place)]
            yield f"{clock_text(word.at_ms)}  {' '.join(each.text for each in around)}  (heard: {word.source})"


def _near(words: Sequence[CaptionWord], place: int) -> Sequence[CaptionWord]:
    return words[max(0, place - 3) : place + 4]


def marked_vtt(texts: Sequence[Caption], words: Sequence[CaptionWord]) -> str:
    """The captions with a comment before each that holds changed words, which players leave out."""
    blocks = vtt(texts).split("\n\n")
    result = [blocks[0]]
    for caption, block in zip(texts, blocks[1:], strict=True):
        unsure = [word for word in words if word.source and caption.at_ms <= word.at_ms < caption.end_ms]
        if unsure:
            notes = ", ".join(f"{word.text} (heard: {word.source})" for word in unsure).replace("-->", "→")
            result.append(f"NOTE to check at {stamp(unsure[0].at_ms, '.')}: {notes}")
        result.append(block)
    return "\n\n".join(result)
