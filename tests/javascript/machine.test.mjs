// What a stage can be at: every step of the table, and none besides.
import assert from "node:assert/strict";
import { test } from "node:test";

import { makeMachine, STEPS } from "../../src/everyrung/static/stage/machine.js";

/** The events that lead from `new` to each state, the shortest way. */
function ways() {
  const found = new Map([["new", []]]), open = ["new"];
  for (let state = open.shift(); state; state = open.shift()) {
    for (const [event, next] of Object.entries(STEPS[state])) {
      if (!found.has(next)) { found.set(next, [...found.get(state), event]); open.push(next); }
    }
  }
  return found;
}
const EVENTS = [...new Set(Object.values(STEPS).flatMap(Object.keys))];

test("every state can be come to, and left", () => {
  assert.deepEqual([...ways().keys()].toSorted(), Object.keys(STEPS).toSorted());
  for (const [state, steps] of Object.entries(STEPS)) assert.ok(Object.values(steps).some((next) => next !== state), state);
});

test("a step that the table has is taken, and every other is refused and changes nothing", () => {
  for (const [state, way] of ways()) {
    for (const event of EVENTS) {
      const machine = makeMachine();
      for (const each of way) machine.step(each);
      assert.equal(machine.state, state);
      assert.equal(machine.can(event), event in STEPS[state]);
      assert.equal(machine.step(event), event in STEPS[state]);
      assert.equal(machine.state, STEPS[state][event] ?? state);
    }
  }
});

test("what is to be done on entering a state is done once, and not where the state stays", () => {
  const entered = [];
  const machine = makeMachine((now, before) => entered.push([before, now]));
  for (const event of ["wait", "wait", "go", "go", "pause", "pause", "end"]) machine.step(event);
  assert.deepEqual(entered, [["new", "waiting"], ["waiting", "running"], ["running", "standing"], ["standing", "ended"]]);
});

test("whoever leads can be asked to give way, and only who looks on can take the lead", () => {
  for (const [state, steps] of Object.entries(STEPS)) {
    const looksOn = ["following", "orphaned"].includes(state);
    assert.equal("give way" in steps, !looksOn, state);
    assert.equal("take" in steps && "open" in steps, looksOn, state);
    assert.equal("go" in steps && looksOn, false, state);
  }
});

test("no show runs while another screen leads it", () => {
  for (const [, way] of ways()) {
    const machine = makeMachine();
    for (const each of way) machine.step(each);
    machine.step("give way");
    assert.ok(machine.looksOn);
    for (const event of ["go", "wait", "rewind", "find", "end"]) assert.ok(!machine.step(event));
  }
});
