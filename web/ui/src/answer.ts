// A calculation's form (data-answer-form) works itself out as it is filled in:
// the part of the page marked data-answer is fetched again after a short pause.
// Without the script its button does the same. data-rows holds rows (data-row)
// of a table; data-add-row adds an empty one.

/** Keeps the answer up to date with its form. */
export function answers(): void {
  const form = document.querySelector<HTMLFormElement>("form[data-answer-form]");
  const answer = document.querySelector<HTMLElement>("[data-answer]");
  if (!form || !answer) return;
  let waiting = 0;
  let asking: AbortController | null = null;
  const ask = async (): Promise<void> => {
    asking?.abort();
    asking = new AbortController();
    const url = new URL(form.action);
    url.search = new URLSearchParams(new FormData(form) as unknown as Record<string, string>).toString();
    try {
      const got = await fetch(url, { headers: { "X-Part": "answer", Accept: "text/html" }, signal: asking.signal });
      if (!got.ok) return;
      const text = await got.text();
      const open = answer.querySelector("#working[open]") !== null;
      answer.innerHTML = text;
      if (open) answer.querySelector("#working")?.setAttribute("open", "");
      history.replaceState(null, "", url);
    } catch {
      return; // overtaken by the next key, or no network: the answer shown stays
    }
  };
  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = window.setTimeout(() => void ask(), 300);
  });
  form.addEventListener("submit", (e) => {
    e.preventDefault();
    clearTimeout(waiting);
    void ask().then(() => answer.scrollIntoView({ block: "start" }));
  });
  for (const button of form.querySelectorAll<HTMLButtonElement>("[data-add-row]")) {
    button.addEventListener("click", () => addRow(button));
  }
}

/** Adds an empty row like the last one, its fields numbered on. */
function addRow(button: HTMLElement): void {
  const rows = button.closest("[data-rows]")?.querySelectorAll<HTMLElement>("[data-row]");
  const last = rows?.[rows.length - 1];
  if (!rows || !last) return;
  const next = last.cloneNode(true) as HTMLElement;
  for (const field of next.querySelectorAll<HTMLInputElement | HTMLSelectElement>("input, select")) {
    field.name = field.name.replace(/\.\d+\./, `.${rows.length}.`);
    if (field instanceof HTMLInputElement) field.value = "";
    else field.selectedIndex = 0;
  }
  last.after(next);
  next.querySelector<HTMLElement>("input, select")?.focus();
}
