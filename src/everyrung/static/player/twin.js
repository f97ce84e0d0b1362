// @ts-check
// The text to read instead: which version is one's own, set by set, and which of the leader's words are for others.

/** @param {import("./choose.js").Choices} choices */
export function markTwin(choices) {
  for (const passage of document.querySelectorAll("#read [data-set]")) {
    const rung = passage instanceof HTMLElement ? choices.rung(Number(passage.dataset.set)) : null;
    for (const part of passage.querySelectorAll("[data-kinds]")) {
      const kinds = part instanceof HTMLElement ? (part.dataset.kinds ?? "").split(", ") : [];
      const mine = Boolean(rung) && kinds.some((kind) => rung?.kinds.includes(kind));
      part.classList.toggle("mine", mine);
      part.classList.toggle("others", !mine);
      const mark = part.querySelector(".mark");
      if (mark) mark.textContent = mine ? "Yours: " : "";
    }
  }
}
