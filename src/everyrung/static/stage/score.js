// @ts-check
// The score on stage, a system at a time, with the line that is now: that of the variant which is led.

const STRIP = 76; // of the score, in its own units: down to the names; what is below them is too small on a screen

/**
 * A system of a score, in the score's own units.
 * @typedef {{at_ms: number, end_ms: number, top: number, high: number, left: number, width: number, per_ms: number}} System
 */

/**
 * @param {Element} box
 * @param {System[][]} systems each variant's
 * @param {(number: number) => string | null} picture a variant's score, or null while it is not here
 */
export function makeScore(box, systems, picture) {
  /** @type {number | null} */
  let drawn = null;
  /** @type {System | null} */
  let system = null;
  /** @type {SVGElement | null} */
  let now = null;
  /** @param {System} next */
  function turnTo(next) {
    system = next;
    const svg = /** @type {Element} */ (box.firstElementChild);
    svg.setAttribute("viewBox", `0 ${next.top - 5} ${next.width} ${STRIP}`);
    svg.setAttribute("preserveAspectRatio", "xMidYMin meet");
    now?.remove();
    now = document.createElementNS("http://www.w3.org/2000/svg", "line");
    now.setAttribute("class", "now-line");
    now.setAttribute("y1", String(next.top - 12));
    now.setAttribute("y2", String(next.top + next.high));
    svg.append(now);
  }
  /** @param {number} number @param {number} ms */
  return (number, ms) => {
    if (drawn !== number) {
      const found = picture(number);
      box.innerHTML = found ?? ""; // a score of another variant would lie
      [drawn, system] = [found ? number : null, null];
    }
    if (drawn === null) return;
    const rows = systems[number], there = rows.find((each) => ms < each.end_ms) ?? rows[rows.length - 1];
    if (system !== there) turnTo(there);
    const x = there.left + (Math.min(Math.max(ms, there.at_ms), there.end_ms) - there.at_ms) * there.per_ms;
    for (const end of ["x1", "x2"]) now?.setAttribute(end, String(x));
  };
}
