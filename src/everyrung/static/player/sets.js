// @ts-check
// The sets of a session with all their rungs, as one participant chooses from them.

/** @typedef {import("../show/run-sheet.js").RungEntry} RungEntry */
/**
 * A rung of a set, with all that it serves as: 'as led', 'harder', 'easier', 'no kit'.
 * @typedef {RungEntry & {kinds: string[], needs: [item: string, pieces: number][], looks: string[]}} SetRung
 */
/** @typedef {{number: number, ref: string, move: string, block: string, main: boolean, round: string, late: boolean, rungs: SetRung[]}} SessionSet */

const MOST_LOOKS = 2; // chosen, because more is not looked at during a set

/**
 * @param {import("../show/show.js").Show} show
 * @param {Record<string, number>} counted the items that not everyone has
 * @returns {SessionSet[]} in the order of the cells; the rung that is led stands first, and one that serves as several once
 */
export function setsOf(show, counted) {
  return show.cells.map((cell, place) => ({
    number: place + 1, ref: cell.ref, move: cell.move, block: cell.block, main: isMain(show, place), round: cell.round,
    late: cell.newcomers_rest, rungs: rungsOf(cell.rungs, counted),
  }));
}

/** @param {import("../show/show.js").Show} show @param {number} place */
const isMain = (show, place) => show.sheet.blocks[show.sheet.cells[place].block].kind === "main";

/** What a rung serves as: 'as led', 'no kit'. @param {RungEntry} rung */
export const kindOf = (rung) => (rung.kind ? rung.kind.replace("-", " ") : "as led");

/** @param {RungEntry[]} rungs @param {Record<string, number>} counted */
function rungsOf(rungs, counted) {
  /** @type {Map<string, SetRung>} */
  const once = new Map();
  for (const rung of rungs) {
    const kind = kindOf(rung), same = JSON.stringify({ ...rung, kind: null });
    const known = once.get(same);
    if (known) { known.kinds.push(kind); continue; }
    const looks = [...new Set([rung.form_cue, ...rung.self_checks])].filter(Boolean).slice(0, MOST_LOOKS);
    once.set(same, { ...rung, kinds: [kind], needs: rung.kit.filter(([item]) => item in counted), looks });
  }
  return [...once.values()];
}
