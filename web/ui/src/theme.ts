// The colour theme: auto, light, dark or sun. The cookie lets the server write
// the right data-theme into the page; localStorage keeps the choice where
// cookies are cleared or the page comes from a cache.

const choices = ["auto", "light", "dark", "sun"];

/** Makes the theme buttons work without a page load and keeps the choice. */
export function theme(): void {
  const kept = read();
  if (kept && kept !== shown()) apply(kept);
  document.addEventListener("click", (e) => {
    const button = (e.target as Element).closest<HTMLButtonElement>(".theme button[name=theme]");
    if (!button || !choices.includes(button.value)) return;
    e.preventDefault();
    keep(button.value);
    apply(button.value);
  });
}

function shown(): string {
  return document.documentElement.dataset.theme || "auto";
}

function apply(name: string): void {
  const root = document.documentElement;
  if (name === "auto") delete root.dataset.theme;
  else root.dataset.theme = name;
  for (const b of document.querySelectorAll<HTMLButtonElement>(".theme button[name=theme]")) {
    b.setAttribute("aria-pressed", String(b.value === name));
  }
}

function keep(name: string): void {
  const secure = location.protocol === "https:" ? "; secure" : "";
  document.cookie = `theme=${name}; path=/; max-age=31536000; samesite=lax${secure}`;
  try {
    localStorage.setItem("theme", name);
  } catch {
    // storage switched off: the cookie alone does
  }
}

function read(): string | null {
  try {
    const kept = localStorage.getItem("theme");
    return kept && choices.includes(kept) ? kept : null;
  } catch {
    return null;
  }
}
