// @ts-check
// Pictures that mount themselves where the page wants them, and the buttons that start and stop them.

const calm = matchMedia("(prefers-reduced-motion: reduce)");

/** @typedef {import("./motion.js").Player} Player */

/**
 * Finds what wants a picture now and after every swap, fetches its motion and mounts it; says so where it can't.
 * @template {HTMLElement} Wants
 * @param {string} selector
 * @param {(element: Wants) => string} address
 * @param {(element: Wants, motion: import("./motion.js").Motion) => Player} mount
 */
export function mountEach(selector, address, mount) {
  /** @type {WeakMap<Element, Player | null>} */
  const mounted = new WeakMap();
  /** @param {Wants} element */
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
      one(/** @type {Wants} */ (each.target));
    }
  }, { rootMargin: "200px" });
  /** @param {Wants} element */
  const soon = (element) => ("lazy" in element.dataset ? sight.observe(element) : one(element));
  /** @param {Document | Element} root */
  function all(root) {
    if (root instanceof Element && root.matches(selector)) soon(/** @type {Wants} */ (root));
    for (const element of root.querySelectorAll(selector)) soon(/** @type {Wants} */ (element));
  }
  /** A button with data-plays="<selector>" starts and stops those pictures. @param {HTMLElement} button */
  const plays = (button) =>
    [...document.querySelectorAll(button.dataset.plays ?? "")].flatMap((element) => mounted.get(element) ?? []);
  function label() {
    for (const button of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("button[data-plays]"))) {
      const found = plays(button);
      if (found.length) button.textContent = found.some((each) => each.playing) ? "Pause" : "Play";
    }
  }
  document.addEventListener("click", ({ target }) => {
    const button = target instanceof Element ? /** @type {HTMLElement | null} */ (target.closest("button[data-plays]")) : null;
    const found = button ? plays(button) : [];
    if (!found.length) return;
    const stop = found.some((each) => each.playing);
    for (const each of found) { if (stop) each.pause(); else each.play(); }
    label();
  });
  calm.addEventListener("change", () => setTimeout(label));
  document.addEventListener("htmx:load", (event) => all(/** @type {CustomEvent} */ (event).detail?.elt ?? document));
  all(document);
}

/**
 * A plain sentence in the element that data-fallback names (by its id), or after the picture.
 * @param {HTMLElement} element
 * @param {string} words
 */
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
