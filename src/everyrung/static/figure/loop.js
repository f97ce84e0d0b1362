// @ts-check
// Time for one picture: it runs at its tempo while it is seen, and stands still for whoever asked for less motion.

const LONGEST_STEP_MS = 100; // after a pause of the browser the motion goes on where it was
const calm = matchMedia("(prefers-reduced-motion: reduce)");

/**
 * @param {Element} element
 * @param {number} loopMs
 * @param {(ms: number, posed: boolean) => void} draw posed while the picture stands for the whole motion and no moment of it is shown
 * @param {{playing?: boolean, speed?: number, changed?: (runs: boolean) => void}} options `changed` is told of every start and stop
 */
export function makeLoop(element, loopMs, draw, { playing = true, speed = 1, changed = () => {} } = {}) {
  /** @type {number | null} */
  let last = null;
  let at = 0, request = 0, seen = true, ended = false;
  let runs = playing && !calm.matches && loopMs > 0;
  let posed = calm.matches || !playing;

  /** @param {number} now */
  function step(now) {
    request = 0;
    if (!element.isConnected) return destroy();
    if (last !== null) at = (at + Math.min(now - last, LONGEST_STEP_MS) * speed) % loopMs;
    last = now;
    draw(at, false);
    wake();
  }
  function wake() {
    if (runs && seen && !ended && !request) request = requestAnimationFrame(step);
  }
  function sleep() {
    cancelAnimationFrame(request);
    request = 0;
    last = null;
  }
  const watch = new IntersectionObserver((entries) => {
    if (!element.isConnected) return destroy();
    seen = entries[entries.length - 1].isIntersecting;
    if (seen) wake();
    else sleep();
  });
  watch.observe(element);
  const heed = () => { if (calm.matches) pause(); };
  calm.addEventListener("change", heed);

  function play() {
    if (loopMs <= 0 || ended) return;
    runs = true;
    posed = false;
    changed(true);
    wake();
  }
  function pause() {
    runs = false;
    sleep();
    changed(false);
  }
  /** @param {number} ms */
  function seek(ms) {
    at = loopMs > 0 ? ((ms % loopMs) + loopMs) % loopMs : 0;
    posed = false;
    draw(at, false);
  }
  function destroy() {
    ended = true;
    runs = false;
    sleep();
    watch.disconnect();
    calm.removeEventListener("change", heed);
  }
  const again = () => draw(at, posed);
  again();
  wake();
  return { play, pause, seek, again, destroy, get playing() { return runs; }, get atMs() { return at; } };
}
