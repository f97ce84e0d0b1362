"""The run sheet as a page: all of the session, in words that stay words, readable by everyone."""

import re
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from importlib.resources import files
from itertools import pairwise
from pathlib import Path

import pytest
from contrast import contrast

from everyrung.pipeline import run
from everyrung.publish.sheet.content import STOP_SIGNS, sheet_content
from everyrung.publish.sheet.cover import limit_lines, newcomer_line
from everyrung.publish.sheet.write import sheet_html
from everyrung.results.analysis import Analysis
from everyrung.runsheet.words import VIEW_WORDS
from everyrung.terms.enums import Caution, CueKind, Severity, View
from everyrung.terms.errors import Where
from everyrung.terms.finding import Finding
from everyrung.terms.move import Rung
from everyrung.terms.plan import Ref

EVENING = Path(__file__).parent / "evening.toml"
VOID = {"meta", "br", "link", "img", "hr", "input"}


class Page(HTMLParser):
    """What a browser would see: tags with their attributes, and the words outside style sheets."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.said: list[str] = []
        self.open: list[str] = []
        self.unclosed: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        while self.open and (last := self.open.pop()) != tag:
            self.unclosed.append(last)

    def handle_data(self, data: str) -> None:
        if "style" not in self.open[-1:]:
            self.said.append(data)

    @property
    def text(self) -> str:
        return re.sub(r"\s+", " ", " ".join(self.said))


def made(done: Analysis) -> Page:
    return Page(sheet_html(sheet_content(done), done.session, done.timeline))


@pytest.fixture(scope="module")
def page(evening: Analysis) -> Page:
    return made(evening)


def every_rung(done: Analysis) -> list[Rung]:
    cells = [cell for block in (*done.session.blocks, *done.session.reserve) for cell in block.cells]
    return [rung for cell in cells for rung in (cell.rung, *(option.rung for option in cell.options))]


def test_every_tag_is_closed(page: Page) -> None:
    assert page.unclosed == []
    assert page.open == []


def test_every_set_its_options_and_their_entry_tests_are_on_it(evening: Analysis, page: Page) -> None:
    rungs = every_rung(evening)
    assert len(rungs) > 70
    for rung in rungs:
        assert rung.name in page.text
        assert rung.entry_test in page.text


def test_doses_sides_tempo_and_load_are_said_as_a_coach_says_them(page: Page) -> None:
    # by hand from evening.toml; 10 lb are 4.536 kg (0.45359237 kg a pound, international yard and pound agreement 1959)
    for said in (
        "8 reps a side, left, then right",
        "12 reps in all, alternating, left first",
        "0:30 held a side, left, then right",
        "3-0-2-0: fold 3 s, stand 2 s",
        "2-2-2-0: sink 2 s, low 2 s, stand 2 s",
        "two of 10 lb / 4.5 kg each, at the sides",
        "10 lb / 4.5 kg, opposite hand: right hand, then left hand",
        "lowering-pause-rising-pause",
    ):
        assert said in page.text
    assert "20 lb" not in page.text
    assert "9.1 kg" not in page.text


def test_options_told_before_are_pointed_at(evening: Analysis, page: Page) -> None:
    # by hand: the hinge of round Two (set 12) is that of round One (set 7), the dead bug is set 10 in every round
    parts = [part for part in sheet_content(evening).blocks if part.name == "Main"]
    pointed = {cell.number: cell.as_in for each in parts[0].rounds for cell in each.cells if cell.as_in}
    assert pointed == {12: 7, 15: 10, 19: 14, 20: 10}
    assert "Other rungs as in set 7." in page.text


def test_every_cue_is_said_once(evening: Analysis, page: Page) -> None:
    kinds = (CueKind.SET_UP, CueKind.FORM, CueKind.BREATHING, CueKind.SAFETY)
    for cell in evening.session.cells:
        for cue in cell.rung.cues:
            if cue.kind in kinds:
                assert cue.text in page.text
    (lunge,) = [part for part in sheet_content(evening).moves if part.name == "Split squat"]
    told = [said for line in lunge.cues for said in line.said]
    assert len(told) == len(set(told)) > 5


def test_every_caution_names_a_rung_without_it(evening: Analysis) -> None:
    parts = {part.name: part for part in sheet_content(evening).moves}
    seen = 0
    for cell in (*evening.session.cells, *(c for block in evening.session.reserve for c in block.cells)):
        for caution in cell.rung.cautions:
            (said,) = [line for line in parts[cell.move.name].cautions if line.lower().startswith(f"{caution}:")]
            named = re.findall("“([^”]+)”", said)
            free = {rung.name for rung in cell.move.versions if caution not in rung.cautions}
            assert set(named) <= free
            assert bool(named) is bool(free)
            seen += 1
    assert seen > 10


def test_the_nearest_rung_without_the_caution_is_named_first(evening: Analysis) -> None:
    # by hand from split-squat.toml: led at grades 2 and 3; free of fall risk are "wall" (2) and "wall-shallow" (1)
    (lunge,) = [part for part in sheet_content(evening).moves if part.name == "Split squat"]
    (risk,) = [line for line in lunge.cautions if line.startswith("Fall risk")]
    nearest, next_best = "“Split squat, hand on the wall”", "“Split squat, half depth, hand on the wall”"
    assert risk == f"Fall risk: avoided by {nearest} and {next_best}."


def test_the_cautions_that_everyone_hears_are_on_it(page: Page) -> None:
    assert all(sign in page.text for sign in STOP_SIGNS)
    for word in ("chest pain", "dizziness", "sharp pain", "faintness", "breathlessness", "not medical advice"):
        assert word in page.text.lower()
    # common practice, no source: what may be the heart is not waited out, and help has to get in
    assert "stop and call the local emergency number; alone at home, unlock the door first" in page.text
    assert "Local rules and licensed practice come before" in page.text


@pytest.mark.parametrize(
    ("view", "moves"),
    # geometry: someone who faces you is your mirror image turned round, so your right is across from their left;
    # flipping the picture left for right undoes it
    [(View.FACING, "right"), (View.FILMED, "right"), (View.BACK_TURNED, "left"), (View.FILMED_FLIPPED, "left")],
)
def test_left_is_the_participants_in_every_view(view: View, moves: str) -> None:
    assert VIEW_WORDS[view].startswith("Left is the participant's left")
    assert re.search(r"you move your (own )?(left|right)", VIEW_WORDS[view]).group(2) == moves  # type: ignore[union-attr]


def test_what_to_bring_counts_people_and_pieces(evening: Analysis) -> None:
    lines = {line.what: line for line in sheet_content(evening).kit}
    bells = lines["Dumbbell, 10 lb / 4.5 kg"]
    assert (bells.each, bells.room, bells.listed) == ("2", "24 for 12", "24 (12 pairs)")  # 12 people with two each
    assert lines["Ball"].listed == "12 of 55 cm, rated 250 kg / 551 lb"  # 250 / 0.45359237 = 551.2
    assert lines["Ball"].room == "12 for 12"


def test_times_add_up_to_what_is_planned(evening: Analysis) -> None:
    sheet = sheet_content(evening)
    seconds = [int(line.time.split(":")[0]) * 60 + int(line.time.split(":")[1]) for line in sheet.sums]
    assert sum(seconds) * 1000 == evening.timeline.total_ms
    assert sheet.slot == "30:00 planned in a slot of 32:00: 2:00 to spare"


def test_findings_stand_first_and_their_absence_is_said(evening: Analysis) -> None:
    finding = Finding(
        rule="a-rule", severity=Severity.ERROR, where=Where(file="x", line=1, field="y"),
        places=(Ref(block="Main", round="One"),), measured="measured 7", limit="limit 5", source="who says so",
        remedy="Do this & that.",
    )  # fmt: skip
    told = made(replace(evening, findings=(finding,))).text
    for said in ("Main: One. measured 7; limit 5. Do this & that.", "a-rule; who says so"):
        assert said in told
    assert told.index("measured 7") < told.index("The score")
    assert "No errors and no warnings." not in told
    assert "No errors and no warnings." in made(replace(evening, findings=())).text


def test_a_note_is_said_after_the_score_and_without_the_programs_words(evening: Analysis) -> None:
    note = Finding(
        rule="a-rule", severity=Severity.NOTE, where=Where(file="x", line=1, field="y"),
        places=tuple(Ref(block="Main", round=name, cell="hinge") for name in ("One", "Two")),
        measured="measured 7", limit="limit 5", source="who says so", remedy="Do this & that.",
    )  # fmt: skip
    told = made(replace(evening, findings=(note,))).text
    assert told.index("Main One, Two: hinge. Do this & that.") > told.index("The score")
    assert not [word for word in ("measured 7", "limit 5", "a-rule", "who says so") if word in told]
    assert "No errors and no warnings." in told


def test_who_avoids_something_is_told_the_rung_before_the_score(page: Page) -> None:
    # by hand from bridge.toml and dead-bug.toml: what stands in for it off the back, nearest in grade; chairs are there
    line = "Avoiding lying on the back: bridge: Standing hinge to the wall; dead bug: Seated march."
    assert page.text.index(line) < page.text.index("The score")


def test_a_move_without_a_way_round_is_rested_through(
    plan: Callable[[str], Analysis], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("everyrung.checks.rules.cautions.alternatives", lambda *_, **__: ())  # no other move beside
    done = plan('[[block]]\nkind = "main"\n  [[block.move]]\n  move = "bridge"\n  dose = "8 reps"\n')
    (cell,) = done.session.cells
    alone = replace(cell, options=(), move=replace(cell.move, versions=(cell.rung,)))
    (block,) = done.session.blocks
    block = replace(block, rounds=(replace(block.rounds[0], cells=(alone,)),))
    who = replace(done.session.who, limits=(Caution.LYING_BACK, Caution.OVERHEAD))
    session = replace(done.session, blocks=(block,), who=who)
    assert limit_lines(session, done.timeline) == ("Avoiding lying on the back: Main: bridge: no version, so rest.",)


def test_a_shorter_slot_says_what_was_lost() -> None:
    done = run(EVENING, minutes=25)
    assert done.refit
    assert done.refit.lost
    told = made(done).text
    assert all(str(each) in told for each in done.refit.lost)
    assert "Re-planned for a slot of 25:00" in told


def test_first_timers_are_told_how_many_rounds(page: Page) -> None:
    assert "First-timers: 2 rounds of each main block" in page.text
    assert page.text.count("First-timers rest or stretch through this round.") == 1  # the third of three


@pytest.mark.parametrize(
    ("rounds", "said"),
    [
        (0, "First-timers: no round."),
        (1, "First-timers: round One."),
        (2, "First-timers: rounds One and Two."),
        (3, "First-timers: all of it, the easier version first."),
    ],
)
def test_the_cover_coach_knows_the_first_timers_rounds(evening: Analysis, rounds: int, said: str) -> None:
    assert newcomer_line(replace(evening.session, newcomer_rounds=rounds)) == said
    nobody = replace(evening.session.who, newcomers=False)
    assert newcomer_line(replace(evening.session, who=nobody)) == ""


def test_the_cover_coach_reads_rungs_kit_and_shared_doses(plan: Callable[[str], Analysis]) -> None:
    # by hand from the library: "wall" of hip-circles, and the seated march, which needs a chair
    done = plan(
        '[[block]]\nkind = "warm-up"\n  [[block.move]]\n  move = "march"\n  dose = "0:40"\n'
        '  [[block.move]]\n  move = "hip-circles"\n  rung = "wall"\n  dose = "0:40"\n'
        '  [[block.move]]\n  move = "march"\n  as = "seated"\n  rung = "seated"\n  dose = "0:30"\n'
    )
    (block,) = sheet_content(done).cover.blocks
    assert block.said == "0:40 each: March on the spot; Small hip circles, facing the wall. Seated march, chair, 0:30"


def test_the_cover_coach_gets_order_doses_clock_cuts_and_notes(evening: Analysis) -> None:
    cover = sheet_content(evening).cover
    main = next(block for block in cover.blocks if block.rounds)
    assert [row.name for row in main.rows] == ["Split squat", "Hip hinge", "Overhead press", "Bridge", "Dead bug"]
    assert main.rows[0].doses == ("8 a side", "8 a side, pause 2 s", "8 a side, no pause, 10 lb")
    heads = (
        *("Say: stop ", "Say: your own pace", "Say in each round: "),
        "First-timers: ",
        "Avoiding lying on the back: ",
        "Short of time, ",
        "The bay door ",
    )
    assert "Two members " in cover.lines[-1]
    assert all(line.startswith(head) for line, head in zip(cover.lines, heads, strict=True))
    assert main.rows[0].kit == "Three: Take one dumbbell, 10 lb."  # in usual words, however it was said
    assert "Short of time, cut in this order: Main Three: hinge, lunge, all of it. Never the cool-down." in cover.lines
    starts = [round_name.split()[-1] for round_name in main.rounds]
    first = [block.rounds[0].time for block in sheet_content(evening).blocks if block.name == "Main"]
    assert first == starts[:1]


def test_the_cover_coach_reads_each_kit_move_once_and_what_people_without_kit_do() -> None:
    """A cover coach could not have told the people at home what to do (a finding of 1 December 2026)."""
    cover = sheet_content(run(Path(__file__).parents[2] / "examples" / "boathouse-30.toml")).cover
    squat, _curl, *_ = next(block for block in cover.blocks if block.rounds).rows
    assert squat.kit.startswith("One, Two: Take the ball and go to the wall. Three: ")  # said with "fetch" in Two
    assert squat.without == "No kit: Wall slide, half depth, no ball."


def test_it_needs_no_network_and_runs_nothing(published: dict[str, Path], page: Page) -> None:
    text = published[".html"].read_text(encoding="utf-8")
    assert not {tag for tag, _ in page.tags} & {"script", "iframe", "object", "embed", "link", "img", "form"}
    for tag, attributes in page.tags:
        for name, value in attributes.items():
            assert not name.startswith("on")
            if name in ("src", "href", "xlink:href", "action", "data"):
                assert (tag, (value or "")[:1]) == ("a", "#")
    assert all(source.startswith(("data:", "#")) for source in re.findall(r"url\(['\"]?([^)'\"]+)", text))
    assert "http://" not in text
    assert "https://" not in text
    assert "@import" not in text


def test_headings_landmarks_and_tables_are_proper(page: Page) -> None:
    levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    names = [tag for tag, _ in page.tags]
    assert (names.count("main"), names.count("header"), names.count("nav")) == (1, 1, 1)
    assert dict(page.tags)["html"]["lang"] == "en-GB"
    assert all("scope" in attributes for tag, attributes in page.tags if tag == "th")


def test_every_name_for_a_part_is_used_once_and_every_reference_lands(page: Page) -> None:
    idents = [attributes["id"] for _, attributes in page.tags if "id" in attributes]
    assert len(idents) == len(set(idents))
    for _, attributes in page.tags:
        asked = (attributes.get("aria-labelledby") or "").split()
        if (attributes.get("href") or "").startswith("#"):
            asked.append((attributes["href"] or "")[1:])
        assert set(asked) <= set(idents)


def test_words_of_the_plan_stay_words(hostile: Analysis) -> None:
    page = made(hostile)
    assert "script" not in {tag for tag, _ in page.tags}
    assert "img" not in {tag for tag, _ in page.tags}
    assert not [name for _, attributes in page.tags for name in attributes if name.startswith("on")]
    for said in ("<script>alert(1)</script>", "<script>alert(2)</script>", "<script>alert(5)</script>", "Разминка"):
        assert said in page.text
    assert page.unclosed == []


def test_sides_that_differ_are_each_said(plan: Callable[[str], Analysis]) -> None:
    done = plan(
        '[[kit]]\nitem = "dumbbells"\nmass = "5 kg"\ncount = 4\n[[block]]\nkind = "main"\n  [[block.move]]\n'
        '  move = "split-squat"\n  rung = "opposite"\n  load = "5 kg"\n  dose = "8 a side"\n'
        '  right = { dose = "6 a side", tempo = "4-0-2-0", load = "4 kg" }\n'
    )
    (cell,) = sheet_content(done).blocks[0].rounds[0].cells
    assert cell.dose == "8 reps left, 6 reps right"
    assert cell.tempo.startswith("left 2-0-2-0: ")
    assert "right 4-0-2-0: " in cell.tempo
    assert cell.load.startswith("left side: 5 kg / 11 lb")
    assert "right side: 4 kg / 8.8 lb" in cell.load  # 4 / 0.45359237 = 8.82


def test_a_timed_dose_says_its_time_first(plan: Callable[[str], Analysis]) -> None:
    # by hand: 40 s of 2-0-1-0 are 13 whole repetitions of 3 s, 30 s are 10; a march of two seconds a step ends even
    split = '  [[block.move]]\n  move = "split-squat"\n  as = "{}"\n  tempo = "2-0-1-0"\n  dose = "{}"\n  {}\n'
    done = plan(
        '[[block]]\nkind = "main"\n'
        + split.format("each", "0:40 a side", "")
        + split.format("all", "1:20 in all", "")
        + split.format("other", "0:40 a side", 'right = { dose = "0:30 a side" }')
        + split.format("one", "0:40 a side", 'sides = "left only"')
        + '  [[block.move]]\n  move = "march"\n  dose = "0:40"\n'
    )
    assert [cell.dose for cell in sheet_content(done).blocks[0].rounds[0].cells] == [
        "0:40 a side, about 13 reps",
        "1:20 in all, about 13 reps a side",
        "0:40 left, about 13 reps; 0:30 right, about 10 reps",
        "0:40 left, about 13 reps",
        "0:40, about 20 reps in all",
    ]


def test_bands_and_what_stands_about_are_named_with_the_load(plan: Callable[[str], Analysis]) -> None:
    kit = '[[kit]]\nitem = "band"\ngrade = "light band"\ncount = 4\n'
    done = plan(
        f'{kit}[[block]]\nkind = "main"\n  [[block.move]]\n  move = "band-pull-apart"\n  dose = "8 reps"\n'
        '  [[block.move]]\n  move = "squat"\n  dose = "8 reps"\n'
        '  [[block.move]]\n  move = "overhead-press"\n  load = "light band"\n  dose = "8 reps"\n'
    )
    sheet = sheet_content(done)
    pulled, free, pressed = (cell.load for cell in sheet.blocks[0].rounds[0].cells)
    assert (pulled, free) == ("band, chair", "empty hands")
    assert pressed.startswith("light band")
    lines = {line.what: (line.each, line.listed, line.cells) for line in sheet.kit}
    assert lines["Band"] == ("1", "light band: 4", "1")
    assert lines["Light band"] == ("1", "4", "3")
    (block,) = sheet.cover.blocks
    assert block.said.startswith("8 each: Band pull-apart, chair; Squat. Overhead press")
    assert block.said.endswith("8, light band")


def test_on_a_narrow_screen_every_number_of_a_stacked_table_has_its_head(page: Page) -> None:
    cells = [attributes for tag, attributes in page.tags if tag == "td" and attributes.get("role") == "cell"]
    assert len(cells) > 20
    assert all(attributes.get("data-head") for attributes in cells)
    assert {attributes["data-head"] for attributes in cells} >= {"Each person", "Listed as there", "One 6:02"}


def test_the_people_at_home_are_told_what_to_do_without(page: Page) -> None:
    assert "At home: bring what is listed for each person. Without it take the no-kit version" in page.text


def test_the_contrast_formula_gives_known_ratios() -> None:
    # black on white is 21:1 by definition; #767676 is the lightest grey that passes on white, 4.54:1 (W3C, G18)
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


def test_ink_stands_out_from_paper_by_wcag_aa_in_every_light() -> None:
    folder = files("everyrung.publish") / "templates"
    css = "".join((folder / f"{name}.css").read_text(encoding="utf-8") for name in ("tokens", "sheet"))
    roots = [root for root in re.findall(r":root[^{]*\{([^}]*)\}", css) if "--paper" in root]
    assert len(roots) == 4  # light, dark as the device has it, dark by choice, print
    assert roots[1].split("--", 1)[1].split() == roots[2].split("--", 1)[1].split()  # the same dark
    for root in roots:
        token = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", root))
        for ground in ("paper", "raised"):
            for ink in {"ink", "soft", "now"} & set(token):
                assert contrast(token[ink], token[ground]) >= 4.5  # W3C WCAG 2.2, 1.4.3 Contrast (Minimum)
    rest = re.sub(r":root[^{]*\{[^}]*\}", "", css)
    assert not re.findall(r"#[0-9a-f]{3,8}\b|rgba?\(", rest)  # no colour beside the tokens
