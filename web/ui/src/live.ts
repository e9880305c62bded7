// Live pages: data-live on the body is the address of an event stream. When an
// event arrives the page's main part is fetched again and put in place, unless
// something is being filled in or sent: then a line offers to do it.
import { toast } from "./toast";

/** Follows the page's event stream. */
export function live(): void {
  const url = document.body.dataset.live;
  if (!url || !("EventSource" in window)) return;
  let waiting = 0;
  const soon = (): void => {
    clearTimeout(waiting);
    waiting = window.setTimeout(() => void refresh(), 150); // several events at once are one change
  };
  let source: EventSource | null = null;
  const open = (): void => {
    if (source || document.visibilityState !== "visible") return;
    source = new EventSource(url);
    source.addEventListener("change", soon);
    source.onmessage = soon;
  };
  const close = (): void => {
    source?.close();
    source = null;
  };
  open();
  document.addEventListener("lastbolt:changed", soon); // said by the script of a phone that exchanges
  // a page out of sight holds no connection: a browser allows only a few
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") {
      open();
      soon();
    } else close();
  });
  window.addEventListener("pagehide", close);
  window.addEventListener("pageshow", (e) => {
    if (e.persisted) open();
  });
}

async function refresh(): Promise<void> {
  if (inUse()) {
    toast("Something changed elsewhere. Reload to see it.", { stay: true, reload: true });
    return;
  }
  let text: string;
  try {
    const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
    if (!answer.ok || answer.redirected) return;
    text = await answer.text();
  } catch {
    return; // no network: the page as it is stays right
  }
  const now = document.querySelector("main");
  const next = new DOMParser().parseFromString(text, "text/html").querySelector("main");
  if (!now || !next || inUse() || now.innerHTML === next.innerHTML) return;
  const open = [...now.querySelectorAll("details[open][id]")].map((d) => d.id);
  const focused = now.contains(document.activeElement) ? document.activeElement?.id : "";
  now.replaceWith(next);
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
  document.dispatchEvent(new Event("lastbolt:replaced"));
}

/** Whether replacing the page would take something out of somebody's hands. */
function inUse(): boolean {
  if (document.querySelector(".is-holding, form[aria-busy]")) return true;
  if ([...document.querySelectorAll<HTMLMediaElement>("main audio")].some((clip) => !clip.paused)) return true;
  if (document.activeElement?.matches("main input, main textarea, main select")) return true;
  for (const el of document.querySelectorAll<HTMLInputElement>("main input:not([type=hidden]), main textarea")) {
    if (el.type === "checkbox" || el.type === "radio" ? el.checked !== el.defaultChecked : el.value !== el.defaultValue) return true;
  }
  return false;
}
