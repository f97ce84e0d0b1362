"""Moves in a brief's words, wished for and away: by their keys, their names, and what else the trade calls them."""

import re
from collections.abc import Sequence
from dataclasses import replace

from everyrung.checks.cells import key_words
from everyrung.moves.library import Library
from everyrung.proposals.brief_reader import BriefText
from everyrung.proposals.kit_words import KIT, blank_out, kit_in
from everyrung.terms.enums import KitItem, Pattern

FOCUS = {
    r"whole[- ]body|full[- ]body|everything": (),
    r"legs?|thighs?": (Pattern.KNEE, Pattern.HIP),
    r"arms?|upper[- ]body": (Pattern.PUSH, Pattern.PULL),
    r"core|abs|trunk|waist|middle": (Pattern.TRUNK,),
    r"shoulders?": (Pattern.OVERHEAD, Pattern.PUSH),
    r"upper backs?|backs?": (Pattern.PULL,),
    r"chest|push(?:es|ing)?": (Pattern.PUSH,),
    r"pull(?:s|ing)?|rows|rowing": (Pattern.PULL,),
    r"overhead": (Pattern.OVERHEAD,),
    r"knee-dominant|squatting": (Pattern.KNEE,),
    r"hip-dominant|hinging": (Pattern.HIP,),
    r"buttocks?|bottoms?|glutes?|hips?": (Pattern.HIP, Pattern.BRIDGE, Pattern.ABDUCTION),
    r"calf|calves": (Pattern.CALF,),
    r"balance": (Pattern.BALANCE,),
    r"conditioning|cardio|stamina": (Pattern.CONDITIONING,),
    r"carrying|carries": (Pattern.CARRY,),
}
HURT = r"sore|bad|trouble|troubles|painful|pain|hurts?|injured|injury|operated|weak|dodgy|poor"
_OTHERWISE = re.compile(
    "|".join([*FOCUS, *(re.escape(item) for item in KitItem), "pack", "balance", "crawl", "bear", "slam"])
)


def moves_by_whole_name(text: BriefText, library: Library) -> list[tuple[str, str]]:
    """Moves whose names are several words, before one of these is taken for kit, a limit or a focus; but not where
    something hurts: what was said and the key of each that is wished for.
    """
    clauses = list(re.finditer(r"[^,.;:]+", text.rest))
    sore = [each for each in clauses if re.search(rf"\b({HURT})\b", each[0].casefold())]
    for each in sore:
        text.rest = blank_out(text.rest, each)
    by_name = moves_in(text, library, least_words=2)
    for each in sore:
        text.rest = f"{text.rest[: each.start()]}{each[0]}{text.rest[each.end() :]}"
    return by_name


def kit_of_moves(text: BriefText, library: Library, by_name: Sequence[tuple[str, str]]) -> None:
    """Kit in the name of a move that is wished for, as "ball leg curl", where one of its versions takes it."""
    for words, key in by_name:
        items = {need.item for rung in library.move(key).versions for need in rung.kit}
        for kit_words, stocks, _ in kit_in(words):
            if stocks[0].item in items - {each.item for each in text.brief.kit}:
                text.brief = replace(text.brief, kit=(*text.brief.kit, *stocks))
                text.meanings.append((kit_words, f"{stocks[0].mass or stocks[0].grade or stocks[0].item} for everyone"))


def moves_in(text: BriefText, library: Library, least_words: int = 1) -> list[tuple[str, str]]:
    """Moves by their key, and by what else the trade calls them, the longest name first: what was said and the key of
    each that is wished for.
    """
    names = [(words, key) for key in library.keys for words in (key_words(key), *_other_names(library, key))]
    whole, wishes = _as_one(text.rest), []
    for words, key in sorted(names, key=lambda each: -len(each[0])):
        if _as_one(words) not in whole or len(re.split("[ -]", words)) < least_words:
            continue  # as nearly all are: no pattern need be made of them
        pattern = re.escape(words).replace(r"\ ", "[ -]").replace(r"\-", "[ -]?") + "(?:e?s)?"
        name = key_words(key)
        text.take_more(rf"(?:no|without|not) (?:{KIT} )?{pattern}", f"without {name}", "exclude", (key,))
        before = len(text.meanings)
        text.take_more(pattern, f"with {name}", "include", (key,))
        wishes += [(phrase, key) for phrase, _ in text.meanings[before:]]
    return wishes


def _as_one(words: str) -> str:
    """Words as one, however they are spaced and hyphenated."""
    return words.casefold().replace(" ", "").replace("-", "")


def _other_names(library: Library, key: str) -> tuple[str, ...]:
    """Its name, and those that say a move and nothing else: of two words, or one that is a brief's for nothing else."""
    move = library.move(key)
    return (move.name, *(name for name in move.also if not _OTHERWISE.fullmatch(name.casefold())))
