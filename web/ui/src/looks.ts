// On a page marked data-looks-only nothing can be changed: its forms that send
// something are at rest for the keyboard too. The styles hide their buttons.

/** Puts the forms of a page that is only looked at to rest. */
export function looks(): void {
  if (!("looksOnly" in document.body.dataset)) return;
  for (const form of document.querySelectorAll<HTMLFormElement>('main form[method="post"]')) form.inert = true;
}
