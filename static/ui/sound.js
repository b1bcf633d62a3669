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

/** Open the sound: {wake, play}. `wake()` must be called inside a tap once. */
export function openSound() {
  let context = null;

  /** Let the browser make sound; it asks for a touch first. */
  function wake() {
    context ??= globalThis.AudioContext ? new AudioContext() : null;
    if (context?.state === "suspended") context.resume().catch(() => {});
  }

  /** Play one burst: "high", "medium" or "info". */
  function play(weight) {
    if (BUZZ[weight].length) navigator.vibrate?.(BUZZ[weight]);
    if (context?.state !== "running") return;
    const from = context.currentTime + 0.02;
    for (const [start, length] of BURSTS[weight]) pulse(context, from + start, length, LOUDNESS[weight]);
  }

  return { wake, play, state: () => context?.state ?? "absent" };
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
  for (const partial of PARTIALS) {
    const tone = context.createOscillator();
    tone.frequency.value = PITCH_HZ * partial;
    tone.connect(gain);
    tone.start(at);
    tone.stop(at + length + 0.02);
  }
}
