// A drawing that is tapped: an svg with data-bolt-tap names a form; a tap on its
// empty part fills the form's x and y (in widths of the drawing, data-bolt-width)
// and sends it. What stands on the drawing are links of their own.

/** Makes drawings tappable, now and later. */
export function boltTaps(): void {
  document.addEventListener("click", (e) => {
    const target = e.target instanceof Element ? e.target : null;
    const svg = target?.closest<SVGSVGElement>("svg[data-bolt-tap]");
    if (!svg || target?.closest("a")) return;
    const form = document.getElementById(svg.dataset.boltTap ?? "");
    const inverse = svg.getScreenCTM()?.inverse();
    if (!(form instanceof HTMLFormElement) || !inverse) return;
    const width = Number(svg.dataset.boltWidth) || 1;
    const at = new DOMPoint(e.clientX, e.clientY).matrixTransform(inverse);
    set(form, "x", at.x / width);
    set(form, "y", at.y / width);
    form.requestSubmit();
  });
}

function set(form: HTMLFormElement, name: string, value: number): void {
  const input = form.elements.namedItem(name);
  if (input instanceof HTMLInputElement) input.value = value.toFixed(5);
}
