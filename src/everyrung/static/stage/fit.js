// @ts-check
// Long words are made smaller; their places keep their size, so that nothing beside them moves.

const SMALLEST = 0.6, STEP = 0.05; // of the letters; chosen, because that is still twice of print

/** @param {HTMLElement} box */
export function fit(box) {
  box.style.fontSize = "";
  const whole = parseFloat(getComputedStyle(box).fontSize);
  const over = () => box.scrollHeight > box.clientHeight + 1 || box.scrollWidth > box.clientWidth + 1;
  for (let share = 1 - STEP; share >= SMALLEST && over(); share -= STEP) box.style.fontSize = `${whole * share}px`;
}
