// @ts-check
// The moving figures of the page, which come packed; where the browser can't unpack them, the still ones stay.
import { mountFigure } from "../figure/figure.js";
import { made } from "./page.js";

/** @param {string} text the figures by key as JSON, packed (RFC 1950) and as base64 @returns {Promise<Record<string, any>>} */
export async function readMotions(text) {
  if (!text || !window.DecompressionStream) return {};
  const packed = Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
  return new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate"))).json();
}

/**
 * The figures on the two cards, in motion in place of the still ones.
 * @param {Record<string, any>} motions by key
 * @param {Record<string, string>} turned for which side of the people each is turned left for right
 */
export function makeMoving(motions, turned) {
  /** @type {ReturnType<typeof mountFigure>[]} */
  let figures = [];
  function clear() {
    for (const figure of figures) figure.destroy();
    figures = [];
  }
  return {
    /** @param {Iterable<Element>} pictures those that are shown, each with its key @param {string} side @param {boolean} playing */
    show(pictures, side, playing) {
      clear();
      for (const picture of pictures) {
        const key = picture instanceof HTMLElement || picture instanceof SVGElement ? picture.dataset.figure ?? "" : "";
        if (!motions[key]) continue;
        const canvas = /** @type {HTMLCanvasElement} */ (made("canvas", "picture"));
        canvas.dataset.figure = key;
        picture.replaceWith(canvas);
        figures.push(mountFigure(canvas, motions[key], { playing, mirrored: turned[key] === side }));
      }
    },
    /** @param {boolean} playing */
    play(playing) {
      for (const figure of figures) if (figure.playing !== playing) { if (playing) figure.play(); else figure.pause(); }
    },
  };
}
