// @ts-check
// The page's ink and paper, read anew when it turns light or dark.
import { INK, PAPER } from "./constants.js";

/** @typedef {{ink: string, paper: string, soft: string, line: string, now: string}} Colours */

/** @type {Colours} */
const PLAIN = { ink: INK, paper: PAPER, soft: "#5b5b5b", line: "#cccccc", now: "#b4541a" };

/** @param {Element} element @returns {Colours} */
export function colours(element) {
  const style = getComputedStyle(element);
  const read = Object.entries(PLAIN).map(([name, plain]) => [name, style.getPropertyValue(`--${name}`).trim() || plain]);
  return Object.fromEntries(read);
}

/** Calls `changed` whenever they may have changed; gives back what ends that. @param {() => void} changed */
export function watchColours(changed) {
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const themes = new MutationObserver(changed);
  themes.observe(document.documentElement, { attributes: true, attributeFilter: ["data-theme", "class"] });
  dark.addEventListener("change", changed);
  return () => {
    themes.disconnect();
    dark.removeEventListener("change", changed);
  };
}
