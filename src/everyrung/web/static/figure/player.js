// Time for one picture: it runs at its tempo while it is seen, and stands still for whoever asked for less motion.

const LONGEST_STEP_MS = 100; // after a pause of the browser the motion goes on where it was
const calm = matchMedia("(prefers-reduced-motion: reduce)");

// draw(ms, posed): posed is true while the picture stands for the whole motion and no moment of it is shown.
export function makePlayer(element, loopMs, draw, { playing = true, speed = 1, changed = () => {} } = {}) {
  let at = 0, last = null, request = 0, seen = true, ended = false;
  let runs = playing && !calm.matches && loopMs > 0;
  let posed = calm.matches || !playing;

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
    seen = entries.at(-1).isIntersecting;
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

// Finds what wants a picture now and after every swap, fetches its motion and mounts it; says so where it can't.
export function mountEach(selector, address, mount) {
  const mounted = new WeakMap();
  async function one(element) {
    if (mounted.has(element)) return;
    mounted.set(element, null);
    try {
      const answer = await fetch(address(element), { headers: { Accept: "application/json" } });
      if (!answer.ok) throw new Error(String(answer.status));
      const motion = await answer.json();
      if (element.isConnected) mounted.set(element, mount(element, motion));
    } catch (problem) {
      console.warn(`No motion from ${address(element)}:`, problem);
      say(element, "The moving figure could not be loaded. Load the page again; everything else still works.");
    }
    label();
  }
  // What is marked data-lazy waits until it comes into sight.
  const sight = new IntersectionObserver((seen) => {
    for (const each of seen) {
      if (!each.isIntersecting) continue;
      sight.unobserve(each.target);
      one(each.target);
    }
  }, { rootMargin: "200px" });
  const soon = (element) => ("lazy" in element.dataset ? sight.observe(element) : one(element));
  function all(root) {
    if (root.matches?.(selector)) soon(root);
    for (const element of root.querySelectorAll(selector)) soon(element);
  }
  // A button with data-plays="<selector>" starts and stops those pictures.
  const plays = (button) =>
    [...document.querySelectorAll(button.dataset.plays)].map((element) => mounted.get(element)).filter(Boolean);
  function label() {
    for (const button of document.querySelectorAll("button[data-plays]")) {
      const found = plays(button);
      if (found.length) button.textContent = found.some((each) => each.playing) ? "Pause" : "Play";
    }
  }
  document.addEventListener("click", (event) => {
    const found = event.target.closest?.("button[data-plays]") && plays(event.target.closest("button[data-plays]"));
    if (!found?.length) return;
    const stop = found.some((each) => each.playing);
    for (const each of found) stop ? each.pause() : each.play();
    label();
  });
  calm.addEventListener("change", () => setTimeout(label));
  document.addEventListener("htmx:load", (event) => all(event.detail?.elt ?? document));
  all(document);
}

// A plain sentence in the element that data-fallback names (by its id), or after the picture.
export function say(element, words) {
  let place = element.dataset.fallback && document.getElementById(element.dataset.fallback.replace(/^#/, ""));
  if (!place) {
    place = document.createElement("p");
    place.className = "figure-trouble";
    element.after(place);
  }
  place.textContent = words;
  place.hidden = false;
  element.hidden = true;
}
