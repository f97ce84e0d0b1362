// @ts-check
// What is said at length, a piece at a time as it is said, so that its letters need not be small.

const MOST = 74; // signs at once: two lines of 37, as captions have them
// After which words they may part: at a stop, else at a comma, else at none that leans on the next, else anywhere.
const PARTED = [/[.?!]['"]?$/, /[,;:]$/, /^(?!(?:a|an|the|of|and|or|to|in|for|your)$)/i, /$/];

/** Words in as few pieces as it takes, of like length. @param {string} text @returns {string[]} */
export function pieces(text) {
  if (text.length <= MOST) return [text];
  const words = text.split(" "), aim = text.length / Math.ceil(text.length / MOST);
  for (const stop of PARTED) {
    const ways = words.slice(0, -1).flatMap((word, at) => (stop.test(word) ? [words.slice(0, at + 1).join(" ")] : []));
    const first = ways.filter((way) => way.length <= MOST).sort((one, other) => Math.abs(one.length - aim) - Math.abs(other.length - aim))[0];
    if (first) return [...pieces(first), ...pieces(text.slice(first.length + 1))];
  }
  return [text]; // one word
}

/**
 * What is seen of a cue at a moment, each piece for its share of the time.
 * @param {{at_ms: number, end_ms: number, words: string}} cue @param {number} ms
 */
export function pieceAt({ at_ms: at, end_ms: end, words }, ms) {
  const parts = pieces(words), signs = (words.length * (ms - at)) / (end - at);
  let until = 0;
  return parts.find((part) => (until += part.length + 1) > signs) ?? parts[parts.length - 1];
}
