// @ts-check
// What a stage can be at and what leads from one to the other; docs/stage.md has it as a drawing, made from this table.

/**
 * new: nothing has begun. waiting: Start was pressed before all pictures were here. interrupted: a show that broke off
 * was found, and is asked about. running, standing: the clock goes, or was paused. ended: it came to the end. following:
 * another screen leads, and this one looks on. orphaned: the screen that led does not answer any more.
 * @typedef {"new" | "waiting" | "interrupted" | "running" | "standing" | "ended"
 *   | "following" | "orphaned"} StageState
 */
/**
 * wait: Start is pressed too early. go: started, or gone on with. desist: some pictures did not come; Start is pressed
 * anew. pause. end: the clock comes to the end. rewind: back from it. find: a show is found that broke off. give way:
 * another screen leads. set aside: the question is closed without an answer. miss: that screen is not heard any more.
 * hear: it is again. take: this screen leads what has begun elsewhere. open: this screen leads, and nothing has begun.
 * @typedef {"wait" | "go" | "desist" | "pause" | "end" | "rewind" | "find" | "set aside"
 *   | "give way" | "miss" | "hear" | "take" | "open"} StageEvent
 */

/** @type {Record<StageState, Partial<Record<StageEvent, StageState>>>} */
export const STEPS = {
  new: { go: "running", wait: "waiting", find: "interrupted", end: "ended", "give way": "following" },
  waiting: { go: "running", wait: "waiting", desist: "new", end: "ended", "give way": "following" },
  interrupted: { go: "running", wait: "waiting", "set aside": "standing", "give way": "following" },
  running: { pause: "standing", end: "ended", "give way": "following" },
  standing: { go: "running", wait: "waiting", end: "ended", "give way": "following" },
  ended: { rewind: "standing", "give way": "following" },
  following: { miss: "orphaned", take: "standing", open: "new" },
  orphaned: { hear: "following", take: "standing", open: "new" },
};

/**
 * A stage at its beginning. `entered` is called with each state that is come to, and the one before.
 * @param {(now: StageState, before: StageState) => void} entered
 */
export function makeMachine(entered = () => {}) {
  /** @type {StageState} */
  let state = "new";
  return {
    get state() { return state; },
    /** Whether this screen only looks on. */
    get looksOn() { return state === "following" || state === "orphaned"; },
    /** @param {StageEvent} event */
    can: (event) => event in STEPS[state],
    /** Takes the step; false, and nothing happens, where the event means nothing now. @param {StageEvent} event */
    step(event) {
      const next = STEPS[state][event];
      if (!next) return false;
      const before = state;
      state = next;
      if (next !== before) entered(next, before);
      return true;
    },
  };
}
