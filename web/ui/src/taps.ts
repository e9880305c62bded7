// Places tapped on a picture (data-tap-picture) fill the fields of a form
// (data-tap-form): one group of two fields, across and down in per cent of the
// picture's width, for each data-tap, in order. Its value is what to tap;
// data-tap-say shows it. data-tap-again starts over. Without the script the
// fields are typed.

/** Lets places be tapped. */
export function taps(): void {
  const form = document.querySelector<HTMLFormElement>("form[data-tap-form]");
  const svg = form?.querySelector<SVGSVGElement>("[data-tap-picture] svg");
  const groups = [...(form?.querySelectorAll<HTMLElement>("[data-tap]") ?? [])];
  if (!form || !svg || groups.length === 0) return;
  const say = form.querySelector<HTMLElement>("[data-tap-say]");
  const marks = svg.querySelector<SVGGElement>("[data-tap-marks]");
  let at = 0;
  const show = (): void => {
    if (say) say.textContent = at < groups.length ? `Tap: ${groups[at].dataset.tap ?? ""}` : "Both places are marked.";
  };
  svg.addEventListener("click", (e) => {
    if (at >= groups.length) return;
    const box = svg.getBoundingClientRect();
    const x = ((e.clientX - box.left) / box.width) * 100;
    const y = ((e.clientY - box.top) / box.width) * 100;
    const [across, down] = groups[at].querySelectorAll<HTMLInputElement>("input");
    across.value = x.toFixed(2);
    down.value = y.toFixed(2);
    mark(marks, x / 100, y / 100);
    at++;
    show();
  });
  form.querySelector("[data-tap-again]")?.addEventListener("click", () => {
    at = 0;
    if (marks) marks.textContent = "";
    for (const input of form.querySelectorAll<HTMLInputElement>("[data-tap] input")) input.value = "";
    show();
  });
  svg.classList.add("can-tap");
  show();
}

/** Puts a cross where a tap fell. */
function mark(into: SVGGElement | null, x: number, y: number): void {
  if (!into) return;
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  const d = 0.02;
  path.setAttribute("class", "l mark");
  path.setAttribute("stroke-width", "3");
  path.setAttribute("d", `M${x - d} ${y}H${x + d}M${x} ${y - d}V${y + d}`);
  into.append(path);
}
