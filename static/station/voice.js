/**
 * The page on which a sentence is recorded: start, stop, listen, what is wrong with the sound.
 *
 * Puts the recording into the file field of the form, so that it is sent like any file; without
 * it a file can be chosen there. Holds no words; they stand in the page.
 */

import { faults } from "./sound_check.js";

const KINDS = ["audio/webm;codecs=opus", "audio/webm"];
const MOST_MS = 15000;
const BITS = 24000;
const TICK_MS = 100;
// The hand that taps the key is heard; the microphone needs a moment to come up.
const SOUND = { echoCancellation: false, noiseSuppression: true, autoGainControl: true, channelCount: 1 };

const form = document.querySelector("[data-part=record]");
if (form?.querySelector("[data-part=recorder]")) begin(form);

function begin(form) {
  const part = (name) => form.querySelector(`[data-part=${name}]`);
  const [start, stop, listen, send] = ["start", "stop", "listen", "send"].map(part);
  const file = part("file").querySelector("input");
  const kind = globalThis.MediaRecorder && navigator.mediaDevices ? KINDS.find((one) => MediaRecorder.isTypeSupported(one)) : null;
  part("recorder").hidden = false;
  if (!kind) {
    start.disabled = true;
    say(form, ["unsupported"]);
    return;
  }
  let recorder = null;

  start.addEventListener("click", async () => {
    say(form, []);
    let stream;
    try {
      stream = await navigator.mediaDevices.getUserMedia({ audio: SOUND });
    } catch {
      say(form, ["refused"]);
      return;
    }
    const pieces = [];
    recorder = new MediaRecorder(stream, { mimeType: kind, audioBitsPerSecond: BITS });
    recorder.addEventListener("dataavailable", ({ data }) => pieces.push(data));
    recorder.addEventListener("stop", () => {
      for (const track of stream.getTracks()) track.stop();
      turn(false);
      take(new Blob(pieces, { type: "audio/webm" })).catch(() => say(form, ["unreadable"]));
    });
    recorder.start();
    turn(true);
    runTime(part("time"), recorder);
  });
  stop.addEventListener("click", () => recorder?.state === "recording" && recorder.stop());
  file.addEventListener("change", () => file.files[0] && look(file.files[0]));

  function turn(isOn) {
    start.hidden = isOn;
    stop.hidden = !isOn;
    send.disabled = isOn;
    form.dataset.state = isOn ? "recording" : "ready";
    (isOn ? stop : start).focus();
  }

  /** Put the recording where a chosen file would be. */
  async function take(blob) {
    const held = new DataTransfer();
    held.items.add(new File([blob], "clip.webm", { type: "audio/webm" }));
    file.files = held.files;
    await look(blob);
  }

  async function look(blob) {
    if (listen.src) URL.revokeObjectURL(listen.src);
    listen.src = URL.createObjectURL(blob);
    listen.hidden = false;
    const found = blob.size > Number(form.dataset.most) ? ["heavy"] : await read(blob);
    send.disabled = found.length > 0;
    form.dataset.state = found.length ? "refused" : "good";
    say(form, found.length ? found : ["fine"]);
  }
}

/** Name what is wrong with a recording. */
async function read(blob) {
  try {
    const sound = await new OfflineAudioContext(1, 1, 48000).decodeAudioData(await blob.arrayBuffer());
    return faults(sound.getChannelData(0), sound.sampleRate);
  } catch {
    return ["unreadable"];
  }
}

function say(form, names) {
  const list = form.querySelector("[data-part=checks]");
  list.replaceChildren(...names.map((name) => {
    const row = document.createElement("li");
    row.dataset.level = name === "fine" ? "fine" : "block";
    row.textContent = form.querySelector(`template[data-says=${name}]`).content.textContent;
    return row;
  }));
}

function runTime(output, recorder) {
  const from = performance.now();
  const run = setInterval(() => {
    const passed = performance.now() - from;
    if (recorder.state === "recording") output.textContent = `${(passed / 1000).toFixed(1)} s`;
    else clearInterval(run);
    if (passed > MOST_MS && recorder.state === "recording") recorder.stop();
  }, TICK_MS);
}
