// Photos are made smaller in the page before they are sent: at most 2560 px on
// the longer side, as JPEG, turned upright, and without the position and other
// data that a camera writes into the file (drawing on a canvas keeps the
// picture alone). Where that fails the file is sent as it is; the server does
// the same there. A form whose box "full" is ticked sends what the camera took,
// as JPEG where the server would not know the kind.
import { mark, unmark } from "./once";
import { toast } from "./toast";

const longest = 2560;
const quality = 0.85;
const fullQuality = 0.95;
const known = ["image/jpeg", "image/png", "image/webp"]; // what the server reads

/** Shows what was taken, and sends forms with photos with a progress line. */
export function photos(): void {
  document.addEventListener("change", (e) => {
    const input = photoInput(e.target);
    if (input) void preview(input);
  });
  document.addEventListener("submit", (e) => {
    const form = e.target as HTMLFormElement;
    const inputs = [...form.querySelectorAll<HTMLInputElement>("[data-photo] input[type=file]")].filter((i) => i.files?.length);
    if (e.defaultPrevented || inputs.length === 0) return;
    e.preventDefault();
    void send(form, inputs, (e as SubmitEvent).submitter);
  });
}

function photoInput(target: EventTarget | null): HTMLInputElement | null {
  return target instanceof HTMLInputElement && target.type === "file" && target.closest("[data-photo]") ? target : null;
}

function say(input: HTMLInputElement, text: string): void {
  const state = input.closest("[data-photo]")?.querySelector("[data-photo-state]");
  if (state) state.textContent = text;
}

async function preview(input: HTMLInputElement): Promise<void> {
  const box = input.closest("[data-photo]");
  for (const img of box?.querySelectorAll("img") ?? []) {
    URL.revokeObjectURL(img.src);
    img.remove();
  }
  const files = [...(input.files ?? [])];
  for (const other of input.form?.querySelectorAll<HTMLInputElement>("[data-photo] input[type=file]") ?? []) {
    if (files.length === 0 || other === input || other.name !== input.name || !other.files?.length) continue;
    other.value = ""; // the latest choice is the one that is kept
    void preview(other);
  }
  say(input, files.length === 0 ? "" : files.length === 1 ? "1 photo taken" : `${files.length} photos taken`);
  for (const file of files.slice(0, 4)) {
    const img = document.createElement("img");
    img.alt = "";
    img.onerror = () => img.remove(); // a format this browser cannot show
    img.src = URL.createObjectURL(file);
    box?.prepend(img);
  }
}

/** The photo to send: made smaller unless full, or the file itself where the
 * browser cannot. */
export async function reduce(file: File, full = false): Promise<Blob> {
  if (full && known.includes(file.type)) return file;
  try {
    const bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = full ? 1 : Math.min(1, longest / Math.max(bitmap.width, bitmap.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(bitmap.width * scale));
    canvas.height = Math.max(1, Math.round(bitmap.height * scale));
    const pen = canvas.getContext("2d");
    if (!pen) return file;
    pen.imageSmoothingQuality = "high";
    pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
    bitmap.close();
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, "image/jpeg", full ? fullQuality : quality));
    return blob ?? file;
  } catch {
    return file;
  }
}

async function send(form: HTMLFormElement, inputs: HTMLInputElement[], by: HTMLElement | null): Promise<void> {
  mark(form, by);
  const data = new FormData(form);
  if (by instanceof HTMLButtonElement && by.name) data.append(by.name, by.value);
  const full = form.querySelector<HTMLInputElement>('input[type=checkbox][name="full"]')?.checked ?? false;
  for (const input of inputs) data.delete(input.name); // two inputs may share a name
  for (const input of inputs) {
    say(input, full ? "getting it ready…" : "making it smaller…");
    for (const file of input.files ?? []) {
      const small = await reduce(file, full);
      data.append(input.name, small, small === file ? file.name : file.name.replace(/\.\w+$/, "") + ".jpg");
    }
  }
  const progress = (share: number): void => {
    for (const input of inputs) say(input, share < 1 ? `sending, ${Math.round(share * 100)} %` : "sent, being stored…");
  };
  const failed = (text: string): void => {
    unmark(form);
    for (const input of inputs) say(input, "not sent");
    toast(text, { stay: true });
  };
  const request = new XMLHttpRequest();
  // not form.action: a field of that name would stand in its place
  const target = new URL(form.getAttribute("action") ?? "", location.href).href;
  request.open("POST", target);
  request.upload.onprogress = (e) => e.lengthComputable && progress(e.loaded / e.total);
  request.onerror = () => failed("The photo was not sent: no connection. It is still here, press again.");
  request.onload = () => {
    if (request.status < 400) {
      // the server's answer is a page already fetched: go where it is
      location.assign(request.responseURL === target ? location.href : request.responseURL);
      return;
    }
    show(request.responseText) || failed(`The photo was not taken (${request.status}). It is still here, press again.`);
  };
  request.send(data);
}

/** Puts the main part of an answer with an error into the page. */
function show(html: string): boolean {
  const next = new DOMParser().parseFromString(html, "text/html").querySelector("main");
  const now = document.querySelector("main");
  if (!next || !now) return false;
  now.replaceWith(next);
  window.scrollTo(0, 0);
  return true;
}
