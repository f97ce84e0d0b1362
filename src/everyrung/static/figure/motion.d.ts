// A rung in motion as src/everyrung/publish/figure/frames.py writes it, and what the renderers make of it: m and ms, z up.

/** A point in the room; an unturned body faces -y, and its left is +x. */
export type Place = [x: number, y: number, z: number];

/** A point of the flat picture, y down. */
export type Flat = [x: number, y: number];

/** One repetition, or the hold. `stops_ms` are further moments at which the body is still; `full_ms` is when it is at full depth. */
export interface Motion {
  title: string;
  said: string;
  view: "front" | "side" | "three-quarter";
  azimuth_deg: number;
  above_deg: number;
  loop_ms: number;
  phases: { name: string; ms: number }[];
  stops_ms: number[];
  full_ms: number;
  pieces: Piece[];
  room: Thing[];
  floor: Place[];
  through: Through[];
  frames: Frame[];
}

/** Flesh with the radii of its blobs; `layer` is "trunk" or a limb and its side, "leg_left". */
export interface Piece {
  name: string;
  layer: string;
  far: boolean;
  radii: number[];
}

/** A ball, wall, chair, step, mat, dumbbell, kettlebell or band; only what is held has a second end, `to`. */
export interface Thing {
  kind: ThingKind;
  at: Place;
  to: Place | null;
  size_m: number;
  turn_deg: number;
  shapes: Shape[];
}

export type ThingKind = "ball" | "band" | "chair" | "dumbbell" | "floor" | "kettlebell" | "mat" | "step" | "wall";

/** One outline of a thing, round its blobs; a solid one is filled with ink. */
export interface Shape {
  solid: boolean;
  blobs: Blob[];
}

export type Blob = [x: number, y: number, z: number, radius: number];

/** Which of a frame's things is drawn through the body that hides it, and with which hands. */
export interface Through {
  thing: number;
  hands: string[];
}

/** One instant: `flesh` has the middles of all pieces' blobs one after another, `things` what is moved. */
export interface Frame {
  at_ms: number;
  points: Record<string, Place>;
  flesh: number[];
  things: Thing[];
}

/** All numbers of an instant: the named points, the flesh, the things. */
export type Row = Float64Array;

/** Where each named point begins in a row. */
export type Points = Record<string, number>;

/** A piece and where its blobs begin in a row. */
export interface LaidPiece extends Piece {
  offset: number;
  count: number;
}

/** A thing that is moved, and where its numbers begin in a row: `at`, `to`, size, then the blobs of its shapes. */
export interface LaidThing extends Omit<Thing, "shapes"> {
  offset: number;
  shapes: { solid: boolean; offset: number; count: number }[];
}

/** What gives out first, the most frequent first: a name of PATCHES, its share of people, of which side where of one. */
export interface Stop {
  name: string;
  part: number;
  side?: "working" | "other" | null;
}

/** A patch of the body, as publish/figure/patches.py has it. */
export interface Patch {
  limb: string;
  start: string;
  end: string;
  shares: number[];
  toward: string;
  off_m: number;
  radius_m: number;
  goes_by: string;
  twice: boolean;
}

/** A patch in one pose: with which layer it is drawn, whether it lies behind that, where its number stands off to. */
export interface PlacedPatch {
  layer: string;
  flats: Flat[];
  rank: number;
  part: number;
  behind: boolean;
  middle: Flat;
  out: Flat;
}

/** What is inked at one go, all in one ink; only a head has a face. */
export interface Layer {
  name: string;
  depth: number;
  outlines: Flat[][];
  ink: "far" | "ink" | "paper" | "rim" | "through";
  hair?: Flat[];
  nose?: Flat[] | null;
  eyes?: Flat[];
}

/** Where the picture's metres fall on the canvas: px = x + scale * m. */
export interface Sheet {
  scale: number;
  x: number;
  y: number;
}

/** A mounted picture, to steer. */
export interface Player {
  play(): void;
  pause(): void;
  seek(ms: number): void;
  destroy(): void;
  readonly playing: boolean;
}
