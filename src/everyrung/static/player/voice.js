// @ts-check
// The leader's words said by a voice of this device, where it has one of its own: one that speaks over the net is none.

/** @returns {SpeechSynthesisVoice | null} */
function ownVoice() {
  const voices = window.speechSynthesis?.getVoices() ?? [];
  return voices.find((voice) => voice.localService && voice.lang.startsWith("en")) ?? null;
}

/** @param {(there: boolean) => void} found is told whenever a voice comes or goes */
export function makeVoice(found) {
  /** @type {import("../show/show.js").Cue | null} */
  let said = null;
  const look = () => found(Boolean(ownVoice()));
  window.speechSynthesis?.addEventListener?.("voiceschanged", look);
  look();
  return {
    /** @param {import("../show/show.js").Cue | null} cue */
    say(cue) {
      if (!cue || cue.at_ms === said?.at_ms) return;
      said = cue;
      const words = new SpeechSynthesisUtterance(cue.words);
      words.voice = ownVoice();
      if (words.voice) window.speechSynthesis.speak(words);
    },
    hush() { said = null; window.speechSynthesis?.cancel(); },
  };
}
