// @ts-check
// Which rung suits whom. What someone said lives in these variables and nowhere else.

/** @typedef {import("./sets.js").SessionSet} SessionSet */
/** @typedef {import("./sets.js").SetRung} SetRung */
/** @typedef {{to_cm: number, sizes: string, words: string}} BallRow */

export const REST = -1;
/** @type {string[][]} by height on the ladder, best first; "no kit" comes before what was asked for is given up */
const WISHES = [["easier", "no kit", "as led"], ["as led", "no kit", "easier"], ["harder", "as led", "no kit", "easier"]];
const LEVELS = ["new", "regular", "strong"]; // where each begins on the ladder
const UP_LEFT = 4, DOWN_LEFT = 1; // repetitions: as the questions on a card, and a set that was nearly broken off
const CM_PER_IN = 2.54; // exact by definition (international inch)

export class Choices {
  /** @param {SessionSet[]} sets */
  constructor(sets) {
    this.sets = sets;
    this.level = "regular";
    /** @type {Record<string, number>} */
    this.pieces = {};
    /** @type {Map<number, number>} */
    this.own = new Map();
    /** @type {Map<number, {left: number, height: number}>} how many were left in a set, and where on the ladder it was done */
    this.answers = new Map();
  }

  /** What a rung asks for and they don't have, in words. @param {SetRung} rung */
  missing(rung) {
    return rung.needs.filter(([item, pieces]) => (this.pieces[item] || 0) < pieces)
      .map(([item, pieces]) => (item === "dumbbells" ? (pieces > 1 ? "a pair of dumbbells" : "a dumbbell") : `a ${item}`));
  }

  /** Whether first-timers are not led through it and they are one. @param {number} set */
  late(set) { return this.level === "new" && this.sets[set].late; }

  /**
   * How high on the ladder they stand in a set: where their answers put them in the rounds before, a step a round. In a
   * round that is not led for first-timers, none goes up.
   * @param {number} set
   */
  height(set) {
    const { move, block } = this.sets[set];
    let height = LEVELS.indexOf(this.level);
    for (let place = 0; place < set; place++) {
      const answer = this.sets[place].move === move && this.sets[place].block === block ? this.answers.get(place) : undefined;
      if (answer) height = answer.height + (answer.left >= UP_LEFT && !this.late(set) ? 1 : answer.left <= DOWN_LEFT ? -1 : 0);
    }
    return Math.min(Math.max(height, 0), WISHES.length - 1);
  }

  /** The place of the rung that suits them; REST where they have the kit for none. @param {number} set */
  suits(set) {
    const { rungs } = this.sets[set];
    for (const kind of WISHES[this.height(set)]) {
      const at = rungs.findIndex((rung) => rung.kinds.includes(kind) && !this.missing(rung).length);
      if (at >= 0) return at;
    }
    return REST;
  }

  /** How many more they could have done after a set. @param {number} set @param {number} left */
  answer(set, left) {
    const kinds = this.rung(set)?.kinds ?? [], at = ["easier", "as led", "harder"].findIndex((kind) => kinds.includes(kind));
    const asWished = at < 0 || kinds.includes("no kit"); // what is taken for want of kit says nothing of the height
    this.answers.set(set, { left, height: asWished ? this.height(set) : at });
  }

  /** @param {number} set */
  of(set) { return this.own.get(set) ?? this.suits(set); }

  /** @param {number} set @returns {SetRung | null} */
  rung(set) { return this.sets[set].rungs[this.of(set)] ?? null; }

  /** @param {number} set @param {number} at */
  choose(set, at) { this.own.set(set, at); }
}

/** Cm from "165", "1.65 m", "5 ft 5" or 5'5"; NaN for anything else. @param {string} text */
export function statureCm(text) {
  const feet = /^\s*(\d)\s*(?:ft|feet|foot|['’′])\s*(?:(\d{1,2})\s*(?:in|inches|["”″])?)?\s*$/i.exec(text);
  if (feet) return Math.round((Number(feet[1]) * 12 + Number(feet[2] || 0)) * CM_PER_IN);
  const plain = /^\s*(\d+(?:[.,]\d+)?)\s*(cm|m)?\s*$/i.exec(text);
  if (!plain) return NaN;
  const number = Number(plain[1].replace(",", "."));
  return Math.round((plain[2] || "").toLowerCase() === "m" || number < 3 ? number * 100 : number);
}

/**
 * The row of the chart for each thing that a ball is there for; null where the stature is not on it.
 * @param {{balls: Record<string, BallRow[]>, stature_cm: [number, number]}} chart
 * @param {number} cm
 * @returns {Record<string, BallRow> | null}
 */
export function ballFor({ balls, stature_cm: [low, high] }, cm) {
  if (!(cm >= low && cm <= high)) return null;
  return Object.fromEntries(Object.entries(balls).map(([use, rows]) => [use, rows.find((row) => cm <= row.to_cm) ?? rows[rows.length - 1]]));
}
