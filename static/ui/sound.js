/**
 * Call attention by sound and vibration; the words carry the meaning.
 *
 * One general burst in three weights after the pattern of IEC 60601-1-8 (values partly
 * from memory): high 10 pulses, medium 3, information one soft click. No siren.
 */

const PITCH_HZ = 440;
const PARTIALS = [1, 2, 3, 4, 5];
const BURSTS = {
  // Each pulse as [start, length] in seconds.
  high: pulses([0, 0.25, 0.5, 0.95, 1.2, 2.1, 2.35, 2.6, 3.05, 3.3], 0.15),
  medium: pulses([0, 0.4, 0.8], 0.2),
  info: pulses([0], 0.05),
};
const LOUDNESS = { high: 0.9, medium: 0.7, info: 0.15 };
const BUZZ = { high: [300, 100, 300, 100, 300, 300, 600], medium: [200, 100, 200], info: [] };

/** Open the sound: {wake, play, clip, isOn}. `wake()` must be called inside a tap once. */
export function openSound() {
  let context = null;

  /** Let the browser make sound; it asks for a touch first. */
  async function wake() {
    context ??= globalThis.AudioContext ? new AudioContext() : null;
    // Held up by the browser, or by a call that came in.
    if (context && context.state !== "running") await context.resume().catch(() => {});
  }

  const isOn = () => context?.state === "running";

  /** Play one burst, "high", "medium" or "info": how many ms it lasts, and what ends it sooner {ms, end}. */
  function play(weight) {
    if (BUZZ[weight].length) navigator.vibrate?.(BUZZ[weight]);
    if (!isOn()) return { ms: 0, end: () => {} };
    const from = context.currentTime + 0.02;
    const tones = BURSTS[weight].flatMap(([start, length]) => pulse(context, from + start, length, LOUDNESS[weight]));
    const [start, length] = BURSTS[weight].at(-1);
    return { ms: (start + length) * 1000, end: () => ended(tones, context) };
  }

  /** Play a clip so many seconds from now; gives what ends it sooner. */
  function clip(buffer, delay) {
    const source = context.createBufferSource();
    source.buffer = buffer;
    source.connect(context.destination);
    source.start(context.currentTime + delay);
    return () => ended([source], context);
  }

  return { wake, play, clip, isOn };
}

function ended(nodes, context) {
  for (const node of nodes) node.stop(context.currentTime);
}

function pulses(starts, length) {
  return starts.map((start) => [start, length]);
}

function pulse(context, at, length, loudness) {
  const gain = context.createGain();
  gain.connect(context.destination);
  gain.gain.setValueAtTime(0, at);
  gain.gain.linearRampToValueAtTime(loudness / PARTIALS.length, at + length * 0.15);
  gain.gain.setValueAtTime(loudness / PARTIALS.length, at + length * 0.8);
  gain.gain.linearRampToValueAtTime(0, at + length);
  return PARTIALS.map((partial) => {
    const tone = context.createOscillator();
    tone.frequency.value = PITCH_HZ * partial;
    tone.connect(gain);
    tone.start(at);
    tone.stop(at + length + 0.02);
    return tone;
  });
}
