// @ts-check
// The card of a session that people follow live online: where it is now, when a link drops, how somebody comes in late.
import { $, put } from "../show/page.js";
import { clockWords } from "../show/words.js";

/** @typedef {import("../show/show.js").Show} Show */

/**
 * Fills the card and shows its button; nothing where nobody takes part live. Stage, prompter and phone each open their own.
 * @param {Show} show @param {() => number} nowMs
 */
export function makeLiveCard(show, nowMs) {
  const { live } = show.sheet, dialog = /** @type {HTMLDialogElement} */ ($("live"));
  $("at-home").hidden = !live;
  if (!live) return { open() {}, moment() {} };
  $("dropped").replaceChildren(...live.for_leader.flatMap(([name, words]) => [element("dt", name), element("dd", words)]));
  /** @type {Array<[string, string[]]>} */
  const lists = [["first-minute", live.first_minute], ["ask-first", live.ask_first]];
  for (const [id, lines] of lists) $(id).replaceChildren(...lines.map((line) => element("li", line)));
  put("they-need", `${live.need.join("; ")}.`);

  /** Where it is now, to be told to whoever was away. @param {number} ms */
  function moment(ms) {
    if (!dialog.open) return;
    const span = show.spanAt(Math.min(ms, show.totalMs - 1)), cell = show.cellOf(span), next = show.nextSet(ms), coming = show.cellOf(next);
    const place = cell ? [cell.block, cell.round, cell.move].filter(Boolean).join(", ") : span.block;
    const then = next && coming ? ` Next set in ${clockWords(next.at_ms - ms)}: ${coming.move}.` : "";
    put("live-now", `Now: ${place}.${then} ${clockWords(show.totalMs - ms)} left.`);
  }
  /** The clock goes on: those in the room go on too. */
  function open() {
    if (!dialog.open) dialog.showModal();
    dialog.scrollTop = 0;
    moment(nowMs());
  }
  $("at-home").onclick = open;
  $("close-live").onclick = () => dialog.close();
  return { open, moment };
}

/** @param {string} tag @param {string} text */
const element = (tag, text) => Object.assign(document.createElement(tag), { textContent: text });
