// @ts-check
// What is on the wall: the words, the count, the figures and the place of a moment.
import { mountFigure } from "../figure/figure.js";
import { $, put } from "../show/page.js";
import { signalAt } from "../show/signal.js";
import { clockWords, countWords } from "../show/words.js";
import { fit } from "./fit.js";
import { showLadder, turnLadder } from "./ladder.js";
import { pieceAt } from "./pieces.js";

const FITTED = ["name", "side", "kit", "next", "cue", "block", "owed"];
const DONE = "That's all. Well done, everyone.";
const FASTEST = 4; // of a figure in motion; chosen, because the eye follows no more

/**
 * @param {object} parts
 * @param {import("../show/show.js").Show} parts.show
 * @param {ReturnType<typeof import("../show/words.js").makeWords>} parts.said
 * @param {ReturnType<typeof import("./pictures.js").makePictures>} parts.pictures
 * @param {ReturnType<typeof import("./strip.js").makeStrip>} parts.strip
 * @param {{motions: Record<string, string>, stills: Record<string, string>}} parts.looks for which side each figure is turned
 * @param {string} parts.track
 * @param {number} parts.speed
 */
export function makeView({ show, said, pictures, strip, looks, track, speed }) {
  /** @type {{cell: import("../show/show.js").Cell | null, side: string, motion: any, came: number, bare: boolean}} */
  const shown = { cell: null, side: "", motion: null, came: 0, bare: false };
  /** @type {ReturnType<typeof mountFigure> | null} */
  let figure = null;

  let written = "";
  function fitAll() {
    written = "";
    [...FITTED, "ladder"].forEach((id) => fit($(id)));
  }
  /**
   * The load of what is next is left out where letters would have to be smaller for it.
   * @param {Record<string, string>} words by the place they stand in @param {string} nextAlone
   */
  function write(words, nextAlone) {
    const all = JSON.stringify(words);
    if (all === written) return;
    written = all;
    for (const [id, each] of Object.entries(words)) put(id, each);
    FITTED.forEach((id) => fit($(id)));
    if ($("next").style.fontSize && put("next", nextAlone)) fit($("next"));
  }
  /**
   * The figures with the side working that the words name: one that was solved on the other side is turned. One that is
   * not there leaves its place to the words, and nothing of the one before it.
   * @param {import("../show/show.js").Cell | null} cell @param {string} side @param {boolean} playing
   */
  function picture(cell, side, playing) {
    const motion = cell ? pictures.motion(cell.figure) : null;
    const same = shown.cell === cell && shown.side === side;
    if (shown.cell !== cell || shown.came !== pictures.came) {
      showLadder($("ladder"), cell?.rungs ?? [], pictures, looks.stills);
      for (const each of $("ladder").querySelectorAll("img")) each.onload = () => fit($("ladder")); // it has a height now
      fit($("ladder"));
    }
    turnLadder($("ladder"), side);
    shown.came = pictures.came;
    if (same && shown.motion === motion) return;
    Object.assign(shown, { cell, side, motion });
    figure?.destroy();
    figure = null;
    $("figure").width = 0; // nothing of what was drawn stays
    $("figure").classList.toggle("gone", !motion);
    const bare = Boolean(cell) && !motion;
    if (document.body.classList.toggle("bare", bare) !== shown.bare) { shown.bare = bare; fitAll(); }
    if (cell && motion) {
      figure = mountFigure($("figure"), motion, { playing, speed: Math.min(speed, FASTEST), mirrored: looks.motions[cell.figure] === side });
    }
  }

  return {
    fitAll,
    get figure() { return figure; },
    /** Figures move while the clock does. @param {boolean} playing */
    play(playing) { if (playing) figure?.play(); else figure?.pause(); },
    /** @param {number} ms @param {boolean} playing */
    moment(ms, playing) {
      const span = show.spanAt(ms), cell = show.cellOf(span), [number, unit] = countWords(show.count(ms));
      const cue = show.cueAt(track, ms);
      put("left", `${clockWords(show.totalMs - ms)} left`);
      put("count", String(number));
      put("of", unit);
      const [next, nextAlone] = said.next(ms, span);
      write({
        name: said.name(span, cell), side: said.side(span, cell), next, kit: said.kit(span, cell),
        cue: cue ? pieceAt(cue, ms) : said.saying(track, ms, span, cell), block: said.place(span, cell), owed: said.owed(span),
      }, nextAlone);
      $("cue").classList.toggle("soft", !cue);
      document.body.dataset.signal = signalAt(show, ms);
      picture(cell, show.sideAt(ms), playing);
      strip(ms);
    },
    end() {
      document.body.dataset.signal = "";
      picture(null, "", false);
      strip(show.totalMs);
      for (const id of ["count", "of"]) put(id, "");
      put("left", `${clockWords(0)} left`);
      write({ name: DONE, side: "", next: "", kit: "", cue: "", block: "", owed: said.owed(null) }, "");
    },
  };
}
