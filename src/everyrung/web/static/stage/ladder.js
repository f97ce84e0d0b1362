// The other rungs of a set, the harder one first, each with its picture where that is here.

function rungItem(rung, still) {
  const item = document.createElement("li"), words = document.createElement("p"), kind = document.createElement("b");
  kind.textContent = `${rung.kind}: `;
  words.append(kind, `${rung.name}${rung.load ? `, ${rung.load}` : ""}`);
  if (still) {
    const picture = Object.assign(document.createElement("img"), { src: still, alt: "" });
    picture.dataset.turned = rung.turned;
    item.append(picture);
  }
  item.append(words);
  return item;
}

export function showLadder(box, rungs, pictures) {
  box.replaceChildren(...rungs.map((rung) => rungItem(rung, pictures.still(rung.picture))));
}

// For the side that works now.
export function turnLadder(box, side) {
  for (const each of box.querySelectorAll("img")) each.classList.toggle("turned", each.dataset.turned === side);
}
