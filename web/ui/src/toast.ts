// One line at the top: that something was recorded, or changed elsewhere.

/** Lets a line written by the server go after a while. */
export function toasts(): void {
  for (const el of document.querySelectorAll<HTMLElement>("[data-toast]")) leave(el);
}

/** Shows a line; with stay it remains, with reload it offers that. */
export function toast(text: string, how: { stay?: boolean; reload?: boolean } = {}): void {
  document.querySelector(".toast")?.remove();
  const el = document.createElement("div");
  el.className = "toast";
  el.setAttribute("role", "status");
  el.textContent = text;
  if (how.reload) {
    const a = document.createElement("a");
    a.href = location.href;
    a.textContent = " Reload";
    el.append(a);
  }
  document.body.append(el);
  if (!how.stay) leave(el);
}

function leave(el: HTMLElement): void {
  setTimeout(() => el.remove(), 6000);
  el.addEventListener("click", () => el.remove());
}
