// @ts-check
// The other rungs of a set, the harder one first, each with its picture where that is here.

/** @typedef {import("../show/show.js").Rung} Rung */

/** @type {Rung["kind"][]} */
const ORDER = ["harder", "easier", "no-kit"];

/** @param {Rung} rung @param {string | null} still the picture's address @param {string} turned */
function rungItem(rung, still, turned) {
  const item = document.createElement("li"), words = document.createElement("p"), kind = document.createElement("b");
  const load = rung.bouts[0].load;
  kind.textContent = `${rung.kind}: `;
  words.append(kind, `${rung.name}${load ? `, ${load}` : ""}`);
  if (still) {
    const picture = Object.assign(document.createElement("img"), { src: still, alt: "" });
    picture.dataset.turned = turned;
    item.append(picture);
  }
  item.append(words);
  return item;
}

/**
 * @param {Element} box
 * @param {Rung[]} rungs
 * @param {import("./pictures.js").Pictures} pictures
 * @param {Record<string, string>} turned for which side of the people each figure is turned left for right
 */
export function showLadder(box, rungs, pictures, turned) {
  const sorted = [...rungs].sort((one, other) => ORDER.indexOf(one.kind) - ORDER.indexOf(other.kind));
  box.replaceChildren(...sorted.map((rung) => rungItem(rung, pictures.still(rung.figure), turned[rung.figure])));
}

/** For the side that works now. @param {Element} box @param {string} side */
export function turnLadder(box, side) {
  for (const each of box.querySelectorAll("img")) each.classList.toggle("turned", each.dataset.turned === side);
}
