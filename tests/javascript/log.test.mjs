// What a stage writes down goes to the studio as it happens, with where the clock is; a screen that looks on sends nothing.
import assert from "node:assert/strict";
import { test } from "node:test";

const sent = [];
globalThis.addEventListener ??= () => {};
globalThis.fetch = async (address, { body }) => { sent.push({ address, events: JSON.parse(body.get("log")).events }); };
globalThis.setInterval = () => 0; // nothing is waited for: what is sent soon is sent by the timers below
const waiting = [];
globalThis.setTimeout = (call) => waiting.push(call);
globalThis.clearTimeout = () => {};
const { makeLog } = await import("../../src/everyrung/static/stage/log.js");

function due() { for (const call of waiting.splice(0)) call(); }

test("what happens is sent at once, together, with where the clock is", () => {
  const log = makeLog("s", "1", "t", () => 1234.5);
  log.note("go", 0);
  due();
  assert.equal(sent.length, 0); // nothing has begun
  log.begin(0);
  log.note("skip", 10.4, "Main/One/squat", { toMs: 99.6, by: "remote" });
  assert.equal(waiting.length, 1);
  due();
  assert.equal(sent.length, 1);
  const [start, skip, here] = sent[0].events;
  assert.equal(start.what, "start");
  assert.deepEqual([skip.at_ms, skip.to_ms, skip.by, skip.cell], [10, 100, "remote", "Main/One/squat"]);
  assert.deepEqual([here.what, here.at_ms], ["here", 1235]);
  assert.equal(log.kept.events.length, 2); // "here" is of the moment, no part of what was done
});

test("a screen that looks on sends nothing", () => {
  sent.length = 0;
  const log = makeLog("s", "1", "t");
  log.begin(0);
  log.rest();
  due();
  assert.equal(sent.length, 0);
  log.wake();
  log.note("pause", 5);
  due();
  assert.equal(sent[0].events.at(-1).what, "pause"); // the clock stands: no "here"
});
