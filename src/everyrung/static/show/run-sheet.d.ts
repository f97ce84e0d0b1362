// The run sheet as docs/run-sheet.schema.json has it; written by scripts/write_javascript.py.

/** A session as it is led. `variants` begin with the whole session; `prefixes` are those that the plan's cut order leaves step by step, and `forks` where one can be left for a shorter one while it is led. `words` has each of the leader's sayings once. `forecast` is there when an audience was, `room` when one was named, `live` when people at home take part live online; `waves` when kit is shared so, or has to be in the room. `lip_readers`: the leader faces the room before anything is said. */
export interface RunSheet {
  version: 1;
  title: string;
  slot_ms: number;
  level: Level;
  view: View;
  notes: string;
  newcomers: boolean;
  blocks: BlockEntry[];
  cells: CellEntry[];
  words: string[];
  variants: VariantEntry[];
  prefixes: number[];
  forks: ForkEntry[];
  findings: FindingEntry[];
  forecast: ForecastEntry | null;
  room?: RoomEntry | null;
  live?: LiveEntry | null;
  waves?: WaveEntry[];
  lip_readers?: boolean;
}

/** The label a session is offered under. */
export type Level = "gentle" | "hard" | "moderate";

/** How participants see the leader. */
export type View = "back turned" | "facing" | "filmed" | "filmed flipped";

/** A block and what is said before its first set. */
export interface BlockEntry {
  name: string;
  kind: BlockKind;
  say: string[];
}

export type BlockKind = "announcement" | "cool-down" | "main" | "reserve" | "warm-up";

/** One move in one round; the first of its `rungs` is the one that is led. `ref` is its place as a plan file has it, 'Main/Three/lunge'; `round` is '' in a block without rounds. `newcomers_rest` says that first-timers are not led through its round. */
export interface CellEntry {
  ref: string;
  block: number;
  round: string;
  move: string;
  newcomers_rest: boolean;
  note: string;
  rungs: RungEntry[];
}

/** A rung that a cell offers; `kind` is None for the one that is led. `address` names it in the library, 'squat/base'; `dose` and `load` are in words. `entry_test` is the question that decides, `form_cue` what to look at first, `self_checks` what to check oneself by, where drawings were computed. `figure` is the key of its pictures. */
export interface RungEntry {
  kind: OptionKind | null;
  address: string;
  name: string;
  grade: number;
  position: Position;
  surface: Surface;
  sides: Sidedness;
  dose: string;
  load: string;
  kit: KitEntry[];
  entry_test: string;
  form_cue: string;
  self_checks: string[];
  bouts: BoutEntry[];
  figure: string;
}

export type OptionKind = "easier" | "harder" | "no-kit";

export type Position = "front support" | "half-kneeling" | "hands and knees" | "kneeling" | "leaning" | "lying on the back" | "lying on the front" | "lying on the side" | "seated" | "side support" | "sitting on the floor" | "standing";

/** What the body stands on, leans on or works against, other than the floor. */
export type Surface = "ball at the wall" | "ball between the knees" | "ball held in front" | "ball held overhead" | "ball under the belly" | "ball under the foot" | "ball under the hands" | "ball under the heels" | "band" | "chair" | "floor" | "sitting on the ball" | "sliders" | "step" | "table" | "wall";

export type Sidedness = "alternating" | "both" | "one side";

/** Pieces of one item that one person needs. */
export type KitEntry = [KitItem, number];

export type KitItem = "ball" | "band" | "bench" | "chair" | "dumbbells" | "kettlebell" | "mat" | "medicine ball" | "mini band" | "pillow" | "rucksack" | "sliders" | "step" | "table" | "towel" | "wall" | "water can";

/** One stretch of work. `reps` is 0 in a hold; `timed` when the clock ends it and not the count. `moves` is the leader's own side in the session's view; `load` is '' for none, `hand` what carries it. `phases` are those of one repetition, in the order of time; none in a hold. */
export interface BoutEntry {
  side: Side;
  moves: Side;
  reps: number;
  duration_ms: number;
  rep_ms: number;
  timed: boolean;
  load: string;
  hand: Side | null;
  phases: PhaseEntry[];
}

/** The participant's side, never the leader's mirror image. */
export type Side = "both" | "left" | "right";

/** One phase of a repetition, by the move's own word for it, and its length. */
export type PhaseEntry = [string, number];

/** One way the session can go, from its beginning to its end: which cells are `cut`, and all the rest on the clock. `script` has the leader's words by track: for those who come for the first time, and for the others. */
export interface VariantEntry {
  total_ms: number;
  cut: number[];
  spans: SpanEntry[];
  beeps: BeepEntry[];
  script: Record<string, CueEntry[]>;
}

/** One stretch of the clock. `bout` is that of the cell's first rung, while there is work; `position` and `kit` are what holds while it runs. */
export interface SpanEntry {
  at_ms: number;
  end_ms: number;
  kind: SpanKind;
  block: number;
  cell: number | null;
  bout: number | null;
  position: Position;
  kit: string[];
  text: string;
}

/** What the clock is spent on. */
export type SpanKind = "announcement" | "down or up" | "explaining" | "getting into position" | "kit change" | "rest" | "round rest" | "side switch" | "waiting" | "work";

/** One signal, and when it begins. */
export type BeepEntry = [number, BeepKind];

/** What a beep says; where two would fall on the same ms, the one that stands first here is beeped. */
export type BeepKind = "change" | "count-in" | "count-in, fourth" | "count-in, third" | "end" | "go" | "last" | "rep";

/** For people who see the session for the first time, and for those who come again. */
export type Track = "again" | "first time";

/** Words that the leader says; their place in the sheet's `words`, and the cell that they are about, if any. `rungs`: for whom they are, as places of that cell's rungs; empty for everyone. */
export type CueEntry = [number, number, CueKind, number, number | null, number[]];

export type CueKind = "break" | "breathing" | "change" | "count" | "encouragement" | "form" | "kit" | "look" | "place" | "safety" | "set-up" | "side" | "thumb check" | "version";

/** What "three minutes less" does to variant `of` at `from_ms` or later and before `until_ms`: it goes on as `onto`. Up to `until_ms` the spans and beeps of both are the same, so that nothing moves under whoever leads. `cells` go, and `talks`, which are blocks without cells; `words` name them. That wins `less_ms`. */
export interface ForkEntry {
  of: number;
  onto: number;
  from_ms: number;
  until_ms: number;
  less_ms: number;
  cells: number[];
  talks: number[];
  words: string;
}

/** What a rule measured, against what limit, and what to do; `place` in words. */
export interface FindingEntry {
  rule: string;
  severity: Severity;
  place: string;
  measured: string;
  limit: string;
  source: string;
  remedy: string;
}

export type Severity = "error" | "note" | "warning";

/** A rehearsal before `people` simulated people; `whole` finish every cell with some rung. `kcal`, `met` and `heart` are bands in words; `rating` is of the whole session. */
export interface ForecastEntry {
  people: number;
  mix: string;
  seed: number;
  whole: ShareEntry;
  kcal: string;
  met: string;
  heart: string;
  cells: CellForecastEntry[];
  rating?: RatingEntry | null;
}

/** A part of the simulated people; `low` and `high` hold the model's own error, where it has a part in it. */
export interface ShareEntry {
  part: number;
  low: number | null;
  high: number | null;
}

/** Who finishes some rung of a cell, who is told to hold or skip, and how hard it feels to the others. */
export interface CellForecastEntry {
  cell: number;
  some_rung: ShareEntry;
  skipping: ShareEntry;
  rungs: RungForecastEntry[];
  rating?: RatingEntry | null;
}

/** Who finishes one of a cell's rungs, and who is advised to it; `kind` is None for the one that is led. */
export interface RungForecastEntry {
  kind: OptionKind | null;
  finishing: ShareEntry;
  advised: ShareEntry;
}

/** How hard something feels, 0 to 10: the middle answer; four of five lie between `low` and `high`. */
export interface RatingEntry {
  middle: number;
  low: number;
  high: number;
}

/** The room that it is led in: how many come and how many it holds, who goes where when somebody needs help. */
export interface RoomEntry {
  name: string;
  people: number;
  holds: number;
  help: HelpEntry[];
}

/** What to do in this room when somebody needs help: 'Defibrillator', and where it is in the coach's own words. */
export type HelpEntry = [string, string];

/** What a session that people follow live online needs: `for_leader` is for the leader, the rest for those at home. `alone` is the cool-down of whoever has lost the link for good. */
export interface LiveEntry {
  people: number;
  for_leader: HelpEntry[];
  need: string[];
  first_minute: string[];
  ask_first: string[];
  no_picture: string[];
  alone: string[];
  parts: LateEntry[];
}

/** One part of the whole session for somebody who comes late: how to come in while it runs, and when its sets begin, each with its move. */
export interface LateEntry {
  at_ms: number;
  end_ms: number;
  name: string;
  come_in: string;
  sets: [number, string][];
}

/** Cells that are done side by side, for kit or wall is not enough for all at once: `who` is in which wave, and what each does in turn; there are as many turns as waves, the first ones in the order of the cells. `at_ms` is when each turn begins, where the plan is led in waves; else there are no times, for the clock is that of all at once. */
export interface WaveEntry {
  cells: number[];
  round: string;
  people: number;
  at_ms: number[];
  who: string[];
  turns: WaveDoes[][];
}

/** What one wave does in a turn: its letter, and the move with its kit, or 'rest'. */
export type WaveDoes = [string, string];
