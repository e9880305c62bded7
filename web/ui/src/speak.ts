// Read aloud: a button with data-speak reads the part of the page marked
// data-read. Elements with data-say are said in those words instead.
import { spoken } from "./words";

/** Makes the read-aloud buttons work; hides them where there is no voice. */
export function speak(): void {
  if (!("speechSynthesis" in window)) {
    for (const b of document.querySelectorAll<HTMLElement>("[data-speak]")) b.hidden = true;
    return;
  }
  document.addEventListener("click", (e) => {
    const button = (e.target as Element).closest("[data-speak]");
    if (!button) return;
    if (speechSynthesis.speaking) {
      speechSynthesis.cancel(); // pressed again: be quiet
      return;
    }
    for (const sentence of sentences()) {
      const u = new SpeechSynthesisUtterance(sentence);
      u.lang = document.documentElement.lang || "en";
      u.rate = 0.95;
      speechSynthesis.speak(u);
    }
  });
  window.addEventListener("pagehide", () => speechSynthesis.cancel());
}

/** What is to be said, block by block, so that a voice pauses between them. */
function sentences(): string[] {
  const out: string[] = [];
  for (const part of document.querySelectorAll<HTMLElement>("[data-read]")) {
    const blocks = part.querySelectorAll<HTMLElement>("h1, h2, p, .number, .source, dt, dd, li, [data-say]");
    let label = "";
    for (const block of blocks) {
      if (block.parentElement?.closest("[data-say], .number, dd, li, p")) continue;
      const said = spoken(block.dataset.say ?? block.innerText);
      if (block.tagName === "DT") {
        label = said + ": "; // said with its value
        continue;
      }
      if (said) out.push(label + said);
      label = "";
    }
  }
  return out;
}
