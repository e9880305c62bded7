// A form that was refused leads to a page that says why. Its link marked
// data-return goes back as the browser's own key does, so that what was typed
// is still there; without scripts it opens the form anew.

/** Lets a refused form be mended. */
export function retrace(): void {
  document.querySelector("a[data-return]")?.addEventListener("click", (e) => {
    if (history.length < 2) return;
    e.preventDefault();
    history.back();
  });
}
