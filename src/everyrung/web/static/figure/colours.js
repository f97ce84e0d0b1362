// The page's ink and paper, read anew when it turns light or dark.

const NAMES = ["ink", "paper", "soft", "line"];
const PLAIN = { ink: "#1b1b1b", paper: "#ffffff", soft: "#5b5b5b", line: "#cccccc" };

export function colours(element) {
  const style = getComputedStyle(element);
  return Object.fromEntries(NAMES.map((name) => [name, style.getPropertyValue(`--${name}`).trim() || PLAIN[name]]));
}

// Calls `changed` whenever they may have changed; gives back what ends that.
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
