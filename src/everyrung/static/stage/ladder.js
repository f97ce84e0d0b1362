// @ts-check
// The versions of a set as a ladder, the harder one on top: what is led is marked as where we are; what is the same stands once.

/** @typedef {import("../show/show.js").Rung} Rung */
/** @typedef {{rung: Rung, led: boolean, kinds: string[]}} Step */

/** @type {Rung["kind"][]} the led one by null */
const ORDER = ["harder", null, "easier", "no-kit"];

/** @param {Rung} rung */
const words = (rung) => [rung.name, rung.bouts[0].load].filter(Boolean).join(", ");

/** What there is to stand on, from the hardest down, each once. @param {Rung[]} rungs @returns {Step[]} */
export function ladderSteps(rungs) {
  /** @type {Map<string, Step>} */
  const steps = new Map();
  for (const rung of [...rungs].sort((one, other) => ORDER.indexOf(one.kind) - ORDER.indexOf(other.kind))) {
    const there = steps.get(words(rung)) ?? { rung, led: false, kinds: [] };
    steps.set(words(rung), there);
    if (rung.kind) there.kinds.push(rung.kind.replace("-", " "));
    else there.led = true;
  }
  return [...steps.values()];
}

/** @param {Step} step @param {string | null} still the picture's address @param {string} turned */
function item({ rung, led, kinds }, still, turned) {
  const element = document.createElement("li"), text = document.createElement("p"), kind = document.createElement("b");
  kind.textContent = [led ? "we are here" : "", ...kinds].filter(Boolean).join(", ");
  text.append(kind, led ? "" : `: ${words(rung)}`);
  if (led) element.setAttribute("aria-current", "step");
  if (still && !led) {
    const picture = Object.assign(document.createElement("img"), { src: still, alt: "" });
    picture.dataset.turned = turned;
    element.append(picture);
  }
  element.append(text);
  return element;
}

/**
 * @param {Element} box
 * @param {Rung[]} rungs all of a set, the led one among them; with that one alone there is no ladder
 * @param {import("./pictures.js").Pictures} pictures
 * @param {Record<string, string>} turned for which side of the people each figure is turned left for right
 */
export function showLadder(box, rungs, pictures, turned) {
  const steps = rungs.length > 1 ? ladderSteps(rungs) : [];
  box.replaceChildren(...steps.map((step) => item(step, pictures.still(step.rung.figure), turned[step.rung.figure])));
}

/** For the side that works now. @param {Element} box @param {string} side */
export function turnLadder(box, side) {
  for (const each of box.querySelectorAll("img")) each.classList.toggle("turned", each.dataset.turned === side);
}
