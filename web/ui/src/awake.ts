// Keeps the screen on while a page with data-awake on its body is in sight,
// and says in [data-awake-state] whether it does.

/** Asks for the wake lock, and again whenever the page comes back in sight. */
export function awake(): void {
  if (!("awake" in document.body.dataset)) return;
  const ask = async (): Promise<void> => {
    if (document.visibilityState !== "visible") return;
    if (!("wakeLock" in navigator)) {
      say("This browser cannot keep the screen on: set it in the phone.");
      return;
    }
    try {
      const lock = await navigator.wakeLock.request("screen");
      say("The screen stays on.");
      lock.addEventListener("release", () => say("The screen may go dark."));
    } catch {
      // refused: battery saver, or the page is not served securely
      say("The phone does not let the screen stay on.");
    }
  };
  document.addEventListener("visibilitychange", ask);
  void ask();
}

function say(text: string): void {
  for (const el of document.querySelectorAll("[data-awake-state]")) el.textContent = text;
}
