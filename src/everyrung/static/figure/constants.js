// @ts-check
// How figures look, as in print, where the reasons are; written by scripts/write_javascript.py.

export const FAR_SLIMMER = 0.82;
export const LIMB_NEARER_M = 0.03;
export const HEAD_NEARER_M = 0.15;
export const HELD_NEARER_M = 0.06;
export const BALL_FARTHER_M = 0.02;
export const BEHIND_M = 50.0;
export const LIMB_JOINTS = {"leg": ["hip", "knee", "ankle"], "arm": ["shoulder", "elbow", "wrist"]};
export const STEPS = 24;
export const BREADTH = 0.78;
export const FACE_SHARE = 0.94;
export const HAIR = [-0.8, 0.6, 0.0];
export const NOSE = [[0.99, 0.02, 0.0], [1.24, -0.24, 0.0], [0.93, -0.32, 0.0]];
export const EYES = [[0.86, 0.14, 0.4], [0.86, 0.14, -0.4]];
export const INK = "#1b1b1b";
export const PAPER = "#ffffff";
export const STROKE_SHARE = 0.0105;
export const HALO = 0.7;
export const EDGE = 1.5;
export const BELOW = 3.0;
export const SEAM = 0.4;
export const EYE = 0.7;
export const RIM = 1.5;
export const RIM_DASH = 0.8;
export const RIM_DASHES = [1.6, 1.2];
export const GHOST = 1.6;
export const GHOST_DASHES = [2.2, 2.4];
export const FLOOR = 0.8;
export const HATCH = 0.55;
export const HATCH_APART = 5.0;
export const HATCH_DEEP = 2.0;
export const HATCH_FROM = 0.7;
