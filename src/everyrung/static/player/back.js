// @ts-check
// What is given back to the coach: sets and how many were left in them, as rows of a history file (docs/history.md). It is
// text on this page; nothing of it leaves by itself.

const HEADS = ["date", "session", "person", "cell", "move", "version", "load", "reps", "left", "source"];

/** @param {string | number} value */
const field = (value) => (/[",\n]/.test(String(value)) ? `"${String(value).replaceAll('"', '""')}"` : String(value));

/** The day here, as 2026-11-30. @param {Date} now */
const day = (now) => [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((each) => String(each).padStart(2, "0")).join("-");

/**
 * @param {string} session its title @param {string} person as they want to be called; none is given @param {Date} now
 * @param {import("./choose.js").Choices} choices
 */
export function backText(session, person, now, choices) {
  const rows = [...choices.answers].map(([set, { left }]) => {
    const rung = choices.rung(set), { ref } = choices.sets[set], [move, version] = rung?.address.split("/") ?? ["", ""];
    const bout = rung?.bouts[0];
    return [day(now), session, person, ref, move, version, bout?.load ?? "", bout?.reps ?? 0, left, "player"];
  });
  return [HEADS, ...rows].map((row) => row.map(field).join(",")).join("\n").concat("\n");
}
