// @ts-check
// How hard it gets along the clock: the band of an audience, set after set, on uPlot.
import Plot from "./vendor/uPlot.esm.js";
import { colours, watchColours } from "./figure/colours.js";

/** @type {any} minified, and without types */
const uPlot = Plot;

/**
 * Minutes, and the repetitions left to the tenth, the middle and the ninetieth of a hundred; between two sets there are none.
 * @typedef {{minutes: number[], p10: (number | null)[], p50: (number | null)[], p90: (number | null)[], sets: string[]}} Band
 */

const MARKS = [0, 2, 4, 10, 30, 90]; // repetitions left
/** @type {Record<number, string>} */
const WORDS = { 0: "none left", 2: "2 left", 4: "4 left", 10: "10 left", 30: "30 left", 90: "90 left" };
const HIGH = 250, NARROW_HIGH = 210;

/**
 * More left is easier; one more of ninety is nothing, one more of two is much: so the scale is of ratios.
 * @param {(number | null)[]} values
 */
const raised = (values) => values.map((value) => (value === null ? null : value + 1));

/** @param {HTMLElement} element @param {Band} data */
function chartOf(element, data) {
  const { ink, soft, line } = colours(element);
  const now = getComputedStyle(element).getPropertyValue("--now").trim();
  const wide = element.clientWidth;
  const font = `12px ${getComputedStyle(element).fontFamily}`;
  const axis = { stroke: soft, font, grid: { stroke: line, width: 1 }, ticks: { stroke: line } };
  /** @param {number | null | undefined} value */
  const words = (value) => (value === null || value === undefined ? "–" : `${Math.round(value - 1)} left`);
  /** @param {unknown} _ @param {unknown} __ @param {unknown} ___ @param {number | null} at */
  const named = (_, __, ___, at) => (at === null ? "–" : data.sets[at]);
  /** @param {unknown} _ @param {number | null | undefined} value */
  const said = (_, value) => words(value);
  /** @param {string} label @param {number} width @param {number[]} [dash] */
  const series = (label, width, dash) => ({ label, stroke: width > 1.5 ? now : ink, width, dash, points: { show: false }, value: said });
  return new uPlot({
    width: wide, height: wide < 500 ? NARROW_HIGH : HIGH,
    scales: { x: { time: false }, y: { distr: 3, log: 10, range: () => [1, 101] } },
    axes: [
      { ...axis, values: (/** @type {unknown} */ _, /** @type {number[]} */ found) => found.map((minute) => `${minute} min`) },
      {
        ...axis, size: 74, splits: () => MARKS.map((mark) => mark + 1),
        values: (/** @type {unknown} */ _, /** @type {number[]} */ found) => found.map((value) => WORDS[Math.round(value - 1)] ?? ""),
        filter: (/** @type {unknown} */ _, /** @type {number[]} */ found) => found,
      },
    ],
    series: [
      { label: "Set", value: named },
      series("one in ten has at most", 1, [4, 3]), series("in the middle", 2.5), series("one in ten has at least", 1, [4, 3]),
    ],
    bands: [{ series: [3, 1], fill: `color-mix(in srgb, ${now} 22%, transparent)` }],
    cursor: { drag: { x: false, y: false } },
  }, [data.minutes, raised(data.p10), raised(data.p50), raised(data.p90)], element);
}

/** @param {HTMLElement} element */
function mount(element) {
  /** @type {Band} */
  const data = JSON.parse(element.dataset.effort ?? "");
  /** @type {ReturnType<typeof chartOf> | null} */
  let chart = null;
  const anew = () => {
    if (!element.isConnected) { sizes.disconnect(); unwatch(); return; }
    chart?.destroy();
    chart = chartOf(element, data);
  };
  let wide = 0;
  const sizes = new ResizeObserver(() => {
    if (element.clientWidth === wide) return;
    wide = element.clientWidth;
    anew();
  });
  const unwatch = watchColours(anew);
  sizes.observe(element);
}

const mounted = new WeakSet();
/** @param {ParentNode} root */
function all(root) {
  for (const element of /** @type {NodeListOf<HTMLElement>} */ (root.querySelectorAll("[data-effort]"))) {
    if (!mounted.has(element)) { mounted.add(element); mount(element); }
  }
}
document.addEventListener("htmx:load", () => all(document));
all(document);
