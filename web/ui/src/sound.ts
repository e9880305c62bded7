// Sound clips are recorded in the page where there is a microphone and the page
// is secure; the recording is put into the form's file input, so that it is
// sent as a chosen file is. data-sound on a block is the most seconds it may
// last. Without this a file can be chosen all the same.
//
// What a phone does to a voice is switched off: it would take a bearing's hum
// for noise and remove it.
const raw: MediaTrackConstraints = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };
const kinds = ["audio/webm;codecs=opus", "audio/mp4", "audio/ogg;codecs=opus"]; // the first that the browser makes
const bits = 128_000; // a second: enough for a noise, 2 MB for two minutes

/** Makes every sound block of the page record. */
export function sounds(): void {
  for (const box of document.querySelectorAll<HTMLElement>("[data-sound]")) new Sound(box);
}

class Sound {
  private recorder: MediaRecorder | null = null;
  private pieces: Blob[] = [];
  private began = 0;
  private ticking = 0;
  private readonly limit: number;
  private readonly button: HTMLButtonElement;
  private readonly input: HTMLInputElement;
  private readonly player: HTMLAudioElement;

  constructor(private readonly box: HTMLElement) {
    this.limit = Number(box.dataset.sound);
    this.button = this.find("[data-sound-record]");
    this.input = this.find("[data-sound-input]");
    this.player = this.find("[data-sound-play]");
    this.input.addEventListener("change", () => this.show(this.input.files?.[0] ?? null, 0));
    if (!window.isSecureContext || !navigator.mediaDevices?.getUserMedia || !("MediaRecorder" in window)) {
      this.say("This page cannot reach the microphone here. Record with the phone's own recorder and choose the file.");
      return;
    }
    this.button.hidden = false;
    this.button.addEventListener("click", () => void (this.recorder ? this.stop() : this.start()));
    this.box.closest("form")?.addEventListener("submit", (e) => {
      if (!this.recorder) return;
      e.preventDefault(); // a recording that still runs would not be in what is sent
      e.stopImmediatePropagation();
      this.stop();
      this.say("Stopped. Listen to it, then keep it.");
    }, { capture: true });
  }

  private find<T extends HTMLElement>(what: string): T {
    return this.box.querySelector<T>(what)!;
  }

  private say(text: string): void {
    this.find("[data-sound-state]").textContent = text;
  }

  private async start(): Promise<void> {
    this.button.disabled = true;
    try {
      const stream = await navigator.mediaDevices.getUserMedia({ audio: raw });
      const mimeType = kinds.find((k) => MediaRecorder.isTypeSupported(k));
      const recorder = new MediaRecorder(stream, { mimeType, audioBitsPerSecond: bits });
      this.pieces = [];
      recorder.ondataavailable = (e) => e.data.size > 0 && this.pieces.push(e.data);
      recorder.onstop = () => {
        for (const track of stream.getTracks()) track.stop();
        this.done(recorder.mimeType);
      };
      recorder.onerror = () => this.stop();
      recorder.start();
      this.recorder = recorder;
      this.began = performance.now();
      this.button.textContent = "Stop";
      this.button.classList.add("is-on");
      this.tick();
      this.ticking = window.setInterval(() => this.tick(), 250);
    } catch (error) {
      this.say(why(error));
    } finally {
      this.button.disabled = false;
    }
  }

  private tick(): void {
    const seconds = (performance.now() - this.began) / 1000;
    this.say(`Recording: ${Math.floor(seconds)} of at most ${this.limit} seconds`);
    if (seconds >= this.limit) this.stop();
  }

  private stop(): void {
    clearInterval(this.ticking);
    if (this.recorder?.state === "recording") this.recorder.stop();
    this.recorder = null;
    this.button.textContent = "Record again";
    this.button.classList.remove("is-on");
  }

  private done(type: string): void {
    const seconds = Math.min(this.limit, (performance.now() - this.began) / 1000);
    const kind = type.split(";")[0] || "audio/webm";
    const file = new File(this.pieces, "sound." + kind.split("/")[1], { type: kind });
    if (file.size === 0) {
      this.say("Nothing was recorded. Try again, or choose a file.");
      return;
    }
    const files = new DataTransfer();
    files.items.add(file);
    this.input.files = files.files;
    this.show(file, seconds);
  }

  /** Shows what will be sent. */
  private show(file: File | null, seconds: number): void {
    if (this.player.src) URL.revokeObjectURL(this.player.src);
    this.player.hidden = !file;
    this.find<HTMLInputElement>("[data-sound-seconds]").value = seconds > 0 ? seconds.toFixed(1) : "";
    this.find("[data-sound-file]").textContent = file && seconds === 0 ? file.name : "";
    if (!file) return;
    this.player.src = URL.createObjectURL(file);
    this.say(seconds > 0 ? `${Math.max(1, Math.round(seconds))} seconds recorded. Listen to it, then keep it.` : "Listen to it, then keep it.");
  }
}

function why(error: unknown): string {
  const name = error instanceof DOMException ? error.name : "";
  if (name === "NotAllowedError") return "The microphone was not allowed. Allow it for this page in the browser, or choose a recording.";
  if (name === "NotFoundError") return "There is no microphone here. Record with a phone and choose the file.";
  if (name === "NotReadableError") return "The microphone is in use by another app. Close that one, then try again.";
  return "The microphone could not be used. Choose a recording instead.";
}
