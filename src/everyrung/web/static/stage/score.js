// The score on stage, a system at a time, with the line that is now: that of the variant which is led.

const STRIP = 76; // of the score, in its own units: down to the names; what is below them is too small on a screen

// `systems` are each variant's; `picture(number)` is a variant's score, or null while it is not here.
export function makeScore(box, systems, picture) {
  let drawn = null, system = null, now = null;
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
  return (number, ms) => {
    if (drawn !== number) {
      const found = picture(number);
      box.innerHTML = found ?? ""; // a score of another variant would lie
      [drawn, system] = [found ? number : null, null];
    }
    if (drawn === null) return;
    const there = systems[number].find((each) => ms < each.end_ms) ?? systems[number].at(-1);
    if (system !== there) turnTo(there);
    const x = system.left + (Math.min(Math.max(ms, system.at_ms), system.end_ms) - system.at_ms) * system.per_ms;
    now.setAttribute("x1", x);
    now.setAttribute("x2", x);
  };
}
