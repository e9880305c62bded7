// A form sends once. After the first press its buttons say so (data-sent) and
// further presses do nothing, so that a double tap cannot record two things.
// data-free on a form or a button leaves it alone. When the page comes back
// from the browser's history the form can be used again.

/** Guards every form against being sent twice. */
export function once(): void {
  document.addEventListener("submit", (e) => {
    const form = e.target as HTMLFormElement;
    if ("free" in form.dataset || form.getAttribute("method")?.toLowerCase() !== "post" || e.defaultPrevented) return;
    if (form.dataset.state === "sent") {
      e.preventDefault();
      return;
    }
    mark(form, (e as SubmitEvent).submitter);
  });
  window.addEventListener("pageshow", (e) => {
    if (e.persisted) for (const form of document.querySelectorAll<HTMLFormElement>("form[data-state]")) unmark(form);
  });
}

/** Shows a form as sent. */
export function mark(form: HTMLFormElement, by: HTMLElement | null): void {
  form.dataset.state = "sent";
  form.setAttribute("aria-busy", "true");
  const button = by ?? form.querySelector<HTMLElement>("button:not([type=button])");
  if (!button?.dataset.sent || button.classList.contains("is-sent")) return;
  button.classList.add("is-sent");
  const label = button.querySelector(".main-label") ?? button;
  button.dataset.was = label.textContent ?? "";
  label.textContent = button.dataset.sent;
}

/** Makes a form usable again: after a failure, or back from history. */
export function unmark(form: HTMLFormElement): void {
  delete form.dataset.state;
  form.removeAttribute("aria-busy");
  for (const button of form.querySelectorAll<HTMLElement>(".is-sent")) {
    button.classList.remove("is-sent");
    const label = button.querySelector(".main-label") ?? button;
    if (button.dataset.was) label.textContent = button.dataset.was;
  }
}
