// @ts-check
// A clock that no busy page can stop: sixty milliseconds, for ever.
setInterval(() => postMessage(0), 60);
