/**
 * Say recorded sentences with the bursts: one at a time, and the weightiest first.
 *
 * A clip is one whole sentence in the voice of a person. Where there is none the burst sounds
 * alone and the text stands on the screen; no other language speaks instead, and no machine.
 */

const RANK = { info: 0, medium: 1, high: 2 };
const TIMES = { info: 1, medium: 1, high: 2 };
const LEVEL = { medium: "spoken.level.caution", high: "spoken.level.stop" };
const BACK = "spoken.back";
// Between burst and sentence, and between a sentence and its repeat.
const PAUSE_MS = 250;
const MOST_WAITING = 3;
// Half of what a studio takes is plenty for speech, and half the memory.
const RATE_HZ = 24000;

/**
 * Put the voice over the sound: {wake, play, back, hush, load, has}.
 *
 * `wordsNow()` gives the words in which a birth is spoken of {lang, voice}, whatever page is shown; `fetched(file)` the bytes of a clip.
 */
export function openVoice({ sound, wordsNow, fetched }) {
  const clips = new Map();
  let current = null;
  let waiting = [];
  let isBackWaiting = false;

  /** Read the clips of these words, so that none is waited for in a birth; one that fails stays silent. */
  async function load({ lang, voice }) {
    for (const [key, { file }] of Object.entries(voice)) {
      if (clips.has(named(lang, key))) continue;
      try {
        clips.set(named(lang, key), await new OfflineAudioContext(1, 1, RATE_HZ).decodeAudioData(await fetched(file)));
      } catch (error) {
        console.error(file, error);
      }
    }
  }

  /** Find the clip of one of these sentences, in that language alone. */
  function clipOf(keys) {
    const { lang, voice } = wordsNow();
    const key = keys.find((one) => one && Object.hasOwn(voice, one) && clips.has(named(lang, one)));
    return key ? clips.get(named(lang, key)) : null;
  }

  /** Play a burst, and the sentence of a message or else of its level; "info" may name its sentence whole. */
  function play(weight, message = null) {
    const said = { weight, mark: `${weight}/${message}`, keys: weight === "info" ? [message] : [message && `spoken.${message}`, LEVEL[weight]] };
    if (!isBusy() || RANK[weight] > RANK[current.weight]) start(said);
    else if (weight === "info") sound.play(weight);
    else if (current.mark !== said.mark) wait(said);
  }

  /** Let it wait, each message once: a stop goes before cautions, and what is too much is the lightest. */
  function wait(said) {
    waiting = [...waiting.filter(({ mark }) => mark !== said.mark), said]
      .sort((one, other) => RANK[other.weight] - RANK[one.weight]).slice(0, MOST_WAITING);
  }

  function isBusy() {
    return current !== null && performance.now() < current.until;
  }

  function start(said) {
    stopCurrent();
    const burst = sound.play(said.weight);
    const clip = sound.isOn() ? clipOf(said.keys) : null;
    const each = clip ? clip.duration * 1000 + PAUSE_MS : 0;
    const times = clip ? TIMES[said.weight] : 0;
    const voices = Array.from({ length: times }, (_, index) => sound.clip(clip, (burst.ms + PAUSE_MS + index * each) / 1000));
    const ms = burst.ms + times * each;
    current = { ...said, until: performance.now() + ms, ends: [burst.end, ...voices], timer: setTimeout(next, ms) };
  }

  function next() {
    // A sound that was held up is late, and must not run into what follows.
    stopCurrent();
    if (waiting.length) start(waiting.shift());
  }

  function stopCurrent() {
    clearTimeout(current?.timer);
    for (const end of current?.ends ?? []) end();
    current = null;
  }

  /** Be silent: what was said has been answered. */
  function hush() {
    waiting = [];
    stopCurrent();
  }

  /** Say that the tablet came back, as soon as a touch allows any sound. */
  function back() {
    isBackWaiting = true;
  }

  /** Let the browser make sound; must be called inside a tap. */
  function wake() {
    sound.wake().then(() => {
      if (!isBackWaiting || !sound.isOn() || isBusy() || !clipOf([BACK])) return;
      isBackWaiting = false;
      play("info", BACK);
    });
  }

  return { wake, play, back, hush, load, has: (key) => clipOf([key]) !== null };
}

function named(lang, key) {
  return `${lang}/${key}`;
}
