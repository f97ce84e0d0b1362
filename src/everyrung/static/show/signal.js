// @ts-check
// Signals of light for whoever does not hear the beeps: get ready, go, stop; each for so long that it is no flicker.

const READY_MS = 5000; // before work; chosen, because that is the longest count-in
const SHOWN_MS = 1500; // of go and stop; chosen, because it is seen from the corner of an eye, and far from flicker

/** @typedef {"" | "ready" | "go" | "stop"} Signal */

/** What is to be seen at a moment. @param {import("./show.js").Show} show @param {number} ms @returns {Signal} */
export function signalAt(show, ms) {
  const at = show.indexAt(ms), span = show.spans[at];
  if (span.work) return ms - span.at_ms < SHOWN_MS ? "go" : "";
  let first = at;
  while (first > 0 && !show.spans[first - 1].work) first--;
  if (first > 0 && ms - show.spans[first].at_ms < SHOWN_MS) return "stop";
  const next = show.spans.slice(at).find((each) => each.work);
  return next && next.at_ms - ms <= READY_MS ? "ready" : "";
}
