// The keyboard, and so any remote control that types: space, page down, right
// arrow or enter press the page's main action (data-main); page up or left
// arrow go back (data-back on main); u takes back (data-undo). Never while
// something is being typed or another control has the focus.
import { begin, release } from "./hold";

const forward = new Set([" ", "PageDown", "ArrowRight", "Enter"]);
const backward = new Set(["PageUp", "ArrowLeft"]);

/** Listens for a remote control on pages that have a main action. */
export function keys(): void {
  let held: HTMLButtonElement | null = null;
  document.addEventListener("keydown", (e) => {
    if (e.defaultPrevented || e.ctrlKey || e.altKey || e.metaKey || busy(e.target, e.key)) return;
    if (forward.has(e.key)) {
      const main = document.querySelector<HTMLElement>("[data-main]");
      if (!main) return;
      e.preventDefault();
      if (e.repeat) return; // a key leaned on is one press
      if (main instanceof HTMLButtonElement && main.dataset.hold) begin((held = main));
      else main.click();
    } else if (backward.has(e.key)) {
      const back = document.querySelector<HTMLElement>("[data-back]")?.dataset.back;
      if (!back) return;
      e.preventDefault();
      location.assign(back);
    } else if (e.key === "u" && !e.repeat) {
      document.querySelector<HTMLElement>("[data-undo]")?.click();
    }
  });
  document.addEventListener("keyup", (e) => {
    if (!held || !forward.has(e.key)) return;
    e.preventDefault();
    release(held);
    held = null;
  });
}

/** Whether the key belongs to what has the focus. */
function busy(target: EventTarget | null, key: string): boolean {
  if (!(target instanceof Element)) return false;
  if (target.closest("input, textarea, select, [contenteditable]")) return true;
  return (key === " " || key === "Enter") && target.closest("a, button, summary, label") !== null;
}
