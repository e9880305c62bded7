// Hands text to the device: the share sheet where there is one, else the
// clipboard. data-share holds the text, data-share-title its title.

/** Makes the share buttons work. */
export function share(): void {
  document.addEventListener("click", async (e) => {
    const button = (e.target as Element).closest<HTMLElement>("[data-share]");
    if (!button) return;
    const text = button.dataset.share ?? "";
    if (navigator.share) {
      try {
        await navigator.share({ title: button.dataset.shareTitle, text });
        return;
      } catch (err) {
        if ((err as DOMException).name === "AbortError") return; // thought better of it
      }
    }
    answer(button, (await copy(text)) ? "Copied" : "Could not copy");
  });
}

async function copy(text: string): Promise<boolean> {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    return copyOldWay(text); // the clipboard is closed on plain http
  }
}

function copyOldWay(text: string): boolean {
  const area = document.createElement("textarea");
  area.value = text;
  area.className = "unseen";
  document.body.append(area);
  area.select();
  const ok = document.execCommand("copy");
  area.remove();
  return ok;
}

function answer(button: HTMLElement, text: string): void {
  const was = button.textContent;
  button.textContent = text;
  setTimeout(() => (button.textContent = was), 2500);
}
