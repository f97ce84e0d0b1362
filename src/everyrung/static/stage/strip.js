// @ts-check
// The session on one axis, to be read from afar: its work as bars, a gap between sets, a taller line where a round begins,
// and the line that is now. Without words, which would be too small.

const SVG = "http://www.w3.org/2000/svg";
const HIGH = 10, LOW = 3; // of the axis, and where bars begin; in its own units

/** @param {string} name @param {Record<string, string | number>} values */
function shape(name, values) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(values)) element.setAttribute(key, String(value));
  return element;
}

/** Where a block or a round begins. @param {import("../show/show.js").Show} show @returns {number[]} */
export function beginnings(show) {
  /** @param {import("../show/show.js").Span} span */
  const part = (span) => [span.block, show.cellOf(span)?.round ?? ""].join("/");
  return show.spans.filter((span, at) => at > 0 && span.cell !== null && part(span) !== part(show.spans[at - 1])).map((span) => span.at_ms);
}

/** @param {Element} box @param {import("../show/show.js").Show} show */
export function makeStrip(box, show) {
  /** @type {number | null} the variant that is drawn */
  let drawn = null;
  const now = shape("line", { class: "now-line", y1: 0, y2: HIGH });
  function draw() {
    const svg = shape("svg", { viewBox: `0 0 ${show.totalMs} ${HIGH}`, preserveAspectRatio: "none" });
    for (const { at_ms: at, end_ms: end } of show.spans.filter((span) => span.work)) {
      svg.append(shape("rect", { class: "bar", x: at, width: end - at, y: LOW, height: HIGH - LOW }));
    }
    for (const at of beginnings(show)) svg.append(shape("line", { class: "begin", x1: at, x2: at, y1: 0, y2: HIGH }));
    svg.append(now);
    box.replaceChildren(svg);
    drawn = show.number;
  }
  /** @param {number} ms */
  return (ms) => {
    if (drawn !== show.number) draw();
    for (const end of ["x1", "x2"]) now.setAttribute(end, String(ms));
    for (const bar of box.querySelectorAll(".bar")) bar.classList.toggle("over", Number(bar.getAttribute("x")) < ms);
  };
}
