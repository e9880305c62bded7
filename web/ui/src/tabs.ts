// The stages of a job are a row that scrolls on a phone: the stage that is open
// is brought into its middle, so that nobody has to look for it.

/** Shows the current tab, now and when the page was replaced. */
export function tabs(): void {
  const show = (): void => {
    const tab = document.querySelector(".tabs a[aria-current]");
    const row = tab?.closest(".tabs");
    if (!tab || !row) return;
    const t = tab.getBoundingClientRect();
    const r = row.getBoundingClientRect();
    row.scrollLeft += t.left + t.width / 2 - (r.left + r.width / 2);
  };
  show();
  document.addEventListener("lastbolt:replaced", show);
}
