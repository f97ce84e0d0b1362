// The score on stage, a system at a time, with the line that is now.

const STRIP = 76; // of the score, in its own units: down to the names; what is below them is too small on a screen

export function makeScore(box, sheet) {
  let system = null, now = null;
  function turnTo(next) {
    system = next;
    const svg = box.firstElementChild;
    svg.setAttribute("viewBox", `0 ${system.top - 5} ${system.width} ${STRIP}`);
    svg.setAttribute("preserveAspectRatio", "xMidYMin meet");
    now?.remove();
    now = document.createElementNS("http://www.w3.org/2000/svg", "line");
    now.setAttribute("class", "now-line");
    now.setAttribute("y1", system.top - 12);
    now.setAttribute("y2", system.top + system.high);
    svg.append(now);
  }
  // `onSheet` is a time of the sheet, ms: what was cut makes the clock run ahead of it.
  return (onSheet) => {
    if (!box.firstElementChild) box.innerHTML = sheet.score;
    const there = sheet.systems.find((each) => onSheet < each.end) ?? sheet.systems.at(-1);
    if (system !== there) turnTo(there);
    const x = system.left + (Math.min(Math.max(onSheet, system.at), system.end) - system.at) * system.per_ms;
    now.setAttribute("x1", x);
    now.setAttribute("x2", x);
  };
}
