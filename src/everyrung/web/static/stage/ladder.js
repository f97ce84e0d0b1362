// The other rungs of a set, the harder one first, each with its picture where that is here.

const ORDER = ["harder", "easier", "no-kit"];

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

// `turned` says of each figure for which side of the people it is turned left for right.
export function showLadder(box, rungs, pictures, turned) {
  const sorted = [...rungs].sort((one, other) => ORDER.indexOf(one.kind) - ORDER.indexOf(other.kind));
  box.replaceChildren(...sorted.map((rung) => rungItem(rung, pictures.still(rung.figure), turned[rung.figure])));
}

// For the side that works now.
export function turnLadder(box, side) {
  for (const each of box.querySelectorAll("img")) each.classList.toggle("turned", each.dataset.turned === side);
}
