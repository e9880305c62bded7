// Count-downs: data-until holds the instant they end (RFC 3339). At the end
// the element says so, once, and a screen reader is told.

/** Runs every count-down on the page. */
export function timers(): void {
  const tick = (): void => {
    for (const el of document.querySelectorAll<HTMLElement>("[data-until]")) show(el);
  };
  tick();
  if (document.querySelector("[data-until]") || document.body.dataset.live) setInterval(tick, 1000);
}

function show(el: HTMLElement): void {
  const end = Date.parse(el.dataset.until ?? "");
  if (Number.isNaN(end)) return;
  const left = end - Date.now();
  const text = left > 0 ? clock(left) : "over since " + clock(-left);
  if (el.textContent !== text) el.textContent = text;
  if (left <= 0 && !el.classList.contains("is-over")) {
    el.classList.add("is-over");
    // not for a timer that was already over when the page opened
    if (left > -2000) navigator.vibrate?.([200, 100, 200]);
  }
}

/** 75 000 ms is 1:15, an hour and a half 1:30:00. */
export function clock(ms: number): string {
  const s = Math.round(ms / 1000);
  const two = (n: number): string => String(n).padStart(2, "0");
  const h = Math.floor(s / 3600);
  const m = Math.floor(s / 60) % 60;
  return h > 0 ? `${h}:${two(m)}:${two(s % 60)}` : `${m}:${two(s % 60)}`;
}
