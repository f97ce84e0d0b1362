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
export const PATCHES = {"front of the thigh": [{"limb": "leg", "start": "hip", "end": "knee", "shares": [0.3, 0.8], "toward": "front", "off_m": 0.035, "radius_m": 0.032, "goes_by": "leg", "twice": true}], "back of the thigh": [{"limb": "leg", "start": "hip", "end": "knee", "shares": [0.3, 0.8], "toward": "back", "off_m": 0.035, "radius_m": 0.03, "goes_by": "leg", "twice": true}], "buttocks and back of the thigh": [{"limb": "leg", "start": "hip", "end": "knee", "shares": [-0.08, 0.1], "toward": "back", "off_m": 0.06, "radius_m": 0.042, "goes_by": "trunk", "twice": true}, {"limb": "leg", "start": "hip", "end": "knee", "shares": [0.3, 0.8], "toward": "back", "off_m": 0.035, "radius_m": 0.03, "goes_by": "leg", "twice": true}], "inner thigh": [{"limb": "leg", "start": "hip", "end": "knee", "shares": [0.15, 0.55], "toward": "inner", "off_m": 0.045, "radius_m": 0.028, "goes_by": "leg", "twice": true}], "front of the hip": [{"limb": "leg", "start": "hip", "end": "knee", "shares": [-0.02, 0.12], "toward": "front", "off_m": 0.05, "radius_m": 0.03, "goes_by": "leg", "twice": true}], "side of the hip": [{"limb": "leg", "start": "hip", "end": "knee", "shares": [-0.12, 0.08], "toward": "outer", "off_m": 0.05, "radius_m": 0.032, "goes_by": "leg", "twice": true}], "calf": [{"limb": "leg", "start": "knee", "end": "ankle", "shares": [0.12, 0.45], "toward": "back", "off_m": 0.022, "radius_m": 0.03, "goes_by": "leg", "twice": true}], "front of the trunk": [{"limb": "trunk", "start": "chest", "end": "seat", "shares": [0.3, 0.85], "toward": "front", "off_m": 0.055, "radius_m": 0.034, "goes_by": "trunk", "twice": false}], "waist": [{"limb": "trunk", "start": "waist", "end": "seat", "shares": [-0.2, 0.5], "toward": "outer", "off_m": 0.085, "radius_m": 0.032, "goes_by": "trunk", "twice": true}], "back": [{"limb": "trunk", "start": "chest", "end": "seat", "shares": [-0.1, 0.75], "toward": "back", "off_m": 0.06, "radius_m": 0.034, "goes_by": "trunk", "twice": false}], "chest": [{"limb": "trunk", "start": "chest", "end": "shoulder", "shares": [0.3, 0.7], "toward": "front", "off_m": 0.05, "radius_m": 0.036, "goes_by": "trunk", "twice": true}], "front of the shoulder": [{"limb": "arm", "start": "shoulder", "end": "elbow", "shares": [-0.05, 0.14], "toward": "front", "off_m": 0.026, "radius_m": 0.027, "goes_by": "trunk", "twice": true}], "side of the shoulder": [{"limb": "arm", "start": "shoulder", "end": "elbow", "shares": [-0.05, 0.14], "toward": "outer", "off_m": 0.026, "radius_m": 0.027, "goes_by": "trunk", "twice": true}], "back of the shoulder": [{"limb": "arm", "start": "shoulder", "end": "elbow", "shares": [-0.05, 0.14], "toward": "back", "off_m": 0.026, "radius_m": 0.027, "goes_by": "trunk", "twice": true}], "front of the upper arm": [{"limb": "arm", "start": "shoulder", "end": "elbow", "shares": [0.35, 0.8], "toward": "front", "off_m": 0.016, "radius_m": 0.024, "goes_by": "arm", "twice": true}], "back of the upper arm": [{"limb": "arm", "start": "shoulder", "end": "elbow", "shares": [0.35, 0.8], "toward": "back", "off_m": 0.016, "radius_m": 0.024, "goes_by": "arm", "twice": true}], "grip": [{"limb": "arm", "start": "elbow", "end": "wrist", "shares": [0.2, 0.75], "toward": "middle", "off_m": 0.0, "radius_m": 0.026, "goes_by": "arm", "twice": true}]};
