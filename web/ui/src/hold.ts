// Hold to confirm: a button with data-hold (milliseconds) sends its form only
// after being held that long, by finger, mouse, space or enter. The tick box
// that stands in for it without scripts ([data-hold-check]) is set by holding.

/** Starts hold-to-confirm on every button that asks for it, now and later. */
export function hold(): void {
  document.addEventListener("pointerdown", (e) => {
    const button = holdButton(e.target);
    if (!button || e.button !== 0) return;
    begin(button);
    for (const end of ["pointerup", "pointercancel", "pointerleave"]) {
      button.addEventListener(end, () => release(button), { once: true });
    }
  });
  document.addEventListener("keydown", (e) => {
    const button = holdButton(e.target);
    if (!button || (e.key !== " " && e.key !== "Enter")) return;
    e.preventDefault(); // or letting go would press it
    if (!e.repeat) begin(button);
  });
  document.addEventListener("keyup", (e) => {
    const button = holdButton(e.target);
    if (!button || (e.key !== " " && e.key !== "Enter")) return;
    e.preventDefault();
    release(button);
  });
  document.addEventListener("click", (e) => {
    if (holdButton(e.target)) e.preventDefault();
  });
  // a long press must not open the menu of a phone
  document.addEventListener("contextmenu", (e) => {
    if (holdButton(e.target)) e.preventDefault();
  });
  window.addEventListener("blur", () => {
    for (const b of running.keys()) release(b);
  });
}

const running = new Map<HTMLButtonElement, number>();

function holdButton(target: EventTarget | null): HTMLButtonElement | null {
  return target instanceof Element ? target.closest<HTMLButtonElement>("button[data-hold]") : null;
}

/** Begins filling; returns at once. */
export function begin(button: HTMLButtonElement): void {
  if (running.has(button) || button.disabled) return;
  const ms = Number(button.dataset.hold) || 1500;
  button.style.setProperty("--hold", `${ms}ms`);
  button.classList.add("is-holding");
  running.set(button, window.setTimeout(() => finish(button), ms));
}

/** Lets go: nothing is sent unless the time was full. */
export function release(button: HTMLButtonElement): void {
  const timer = running.get(button);
  if (timer === undefined) return;
  clearTimeout(timer);
  running.delete(button);
  button.classList.remove("is-holding");
}

function finish(button: HTMLButtonElement): void {
  release(button);
  const form = button.form;
  if (!form) return;
  const check = form.querySelector<HTMLInputElement>("[data-hold-check] input");
  if (check) check.checked = true;
  navigator.vibrate?.(60);
  form.requestSubmit(button);
}
