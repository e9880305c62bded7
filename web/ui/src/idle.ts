// A step left alone: after data-idle-minutes without a touch the page goes to
// data-idle-url (both on the body), where the last steps are confirmed again.
// Time asleep counts: a phone that was put away for an hour was idle.

/** Watches for a page that is left alone. */
export function idle(): void {
  const { idleUrl, idleMinutes } = document.body.dataset;
  if (!idleUrl) return;
  const limit = (Number(idleMinutes) || 10) * 60_000;
  let last = Date.now();
  let left = false;
  const check = (): void => {
    if (left || Date.now() - last < limit || document.querySelector("form[aria-busy]")) return;
    left = true;
    location.assign(idleUrl);
  };
  const touched = (): void => {
    check(); // waking a sleeping phone is not a touch of the step
    if (!left) last = Date.now();
  };
  for (const kind of ["pointerdown", "keydown", "scroll", "input"]) {
    window.addEventListener(kind, touched, { passive: true, capture: true });
  }
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") check();
  });
  setInterval(check, 15_000);
}
