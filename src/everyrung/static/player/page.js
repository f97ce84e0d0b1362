// @ts-check
// What stands on the page of a participant.
import { $ } from "../show/page.js";
import { REST } from "./choose.js";

/** @typedef {import("./sets.js").SetRung} SetRung */
/** @typedef {import("./choose.js").BallRow} BallRow */
/** @typedef {{figures: Record<string, number>, ball_of: Record<string, string>}} Extras the figures' numbers by key, what a ball is for by surface */

/** @param {string} tag @param {string} kind @param {string} text */
export function made(tag, kind = "", text = "") {
  const node = document.createElement(tag);
  if (kind) node.className = kind;
  if (text) node.textContent = text;
  return node;
}

/** @param {SetRung} rung @param {number} number */
export function picture(rung, number) {
  const svg = $("a-picture").content.firstElementChild.cloneNode(true);
  svg.setAttribute("aria-label", `How it looks: ${rung.name}`);
  svg.dataset.figure = rung.figure;
  svg.firstElementChild.setAttribute("href", `#figure-${number}`);
  return svg;
}

/**
 * "two of 10 lb; ball of 45 to 55 cm, wall": what to have in reach for a rung.
 * @param {SetRung} rung @param {Extras} extras @param {Record<string, BallRow> | null} balls
 */
export function kitWords(rung, extras, balls) {
  const use = extras.ball_of[rung.surface];
  const size = use && balls ? `ball of ${balls[use].sizes}` : "ball";
  const items = rung.kit.map(([item]) => item).filter((item) => item !== "dumbbells");
  return [rung.load, items.map((item) => (item === "ball" ? size : item)).join(", ")].filter(Boolean).join("; ");
}

/**
 * The participant's side: of their own rung, which may be done on both where the leader changes sides.
 * @param {SetRung} rung @param {number} bout @param {string} alternate the side of an alternating set now
 */
export function sideWords(rung, bout, alternate) {
  const side = alternate || (rung.bouts[bout] ?? rung.bouts[0]).side;
  return side === "both" ? "Both sides" : `Your ${side} side`;
}

/**
 * A card with a rung: all there is to know while doing it.
 * @param {string} head @param {SetRung} rung @param {Extras} extras @param {Record<string, BallRow> | null} balls
 */
export function card(head, rung, extras, balls) {
  const parts = [made("p", "whose", head)], number = extras.figures[rung.figure];
  if (number) parts.push(picture(rung, number));
  parts.push(made("p", "name", rung.name), made("p", "how", rung.dose), made("p", "how", kitWords(rung, extras, balls) || "empty hands"));
  return parts;
}

/** @param {number} set @param {import("./choose.js").Choices} choices @param {(set: number, at: number) => void} changed */
export function chooser(set, choices, changed) {
  const select = document.createElement("select");
  const suits = choices.suits(set);
  /** @type {[number, string][]} */
  const entries = choices.sets[set].rungs.map((rung, at) => [at, `${rung.kinds.join(", ")}: ${rung.name}`]);
  for (const [at, words] of [...entries, /** @type {[number, string]} */ ([REST, "rest this set"])]) {
    const option = document.createElement("option");
    option.textContent = words + (at === suits ? " (suits you)" : "");
    option.value = String(at);
    option.selected = at === choices.of(set);
    select.append(option);
  }
  select.autocomplete = "off";
  select.addEventListener("change", () => changed(set, Number(select.value)));
  return select;
}
