// How units and signs are said aloud. A voice left alone reads "N·m" as
// "N dot m" or "nanometre", and lbf·ft as letters.

const units: [RegExp, string][] = [
  [/\blbf[·.\- ]?ft\b/g, "pound feet"],
  [/\blbf[·.\- ]?in\b/g, "pound inches"],
  [/\bkgf[·.\- ]?m\b/g, "kilogram metres"],
  [/\bkgf[·.\- ]?cm\b/g, "kilogram centimetres"],
  [/\bcN[·.]?m\b/g, "centi newton metres"],
  [/\bN[·.]?m\b/g, "newton metres"],
  [/\bkPa\b/g, "kilopascal"],
  [/\bpsi\b/g, "P S I"],
  [/(\d)\s*mm\b/g, "$1 millimetres"],
  [/(\d)\s*cm\b/g, "$1 centimetres"],
  [/(\d)\s*m[lL]\b/g, "$1 millilitres"],
  [/(\d)\s*km\b/g, "$1 kilometres"],
  [/(\d)\s*min\b/g, "$1 minutes"],
  [/(\d)\s*L\b/g, "$1 litres"],
  [/(\d)\s*N\b/g, "$1 newtons"],
  [/(\d)\s*kg\b/g, "$1 kilograms"],
  // "1/2 in drive" and "3 in," are inches; "M6 in aluminium" is not
  [/(\d)\s*in\b(?=\s*(?:[,.;:)·]|$|drive|socket|spanner|bolt|nut|hose))/g, "$1 inch"],
  [/(\d)\s*°C/g, "$1 degrees Celsius"],
  [/(\d)\s*°F/g, "$1 degrees Fahrenheit"],
  [/(\d)\s*°/g, "$1 degrees"],
];

const signs: [RegExp, string][] = [
  [/\bM(\d+(?:\.\d+)?)\s*×\s*(\d)/g, "M $1 by $2"],
  [/\bM(\d)/g, "M $1"],
  [/\bO-ring/g, "oh ring"],
  [/\bconv\./g, "converted"],
  [/(\d)\s*×/g, "$1 times"],
  [/(\d)x(?=\d)/g, "$1 by "],
  [/×/g, "by"],
  [/\s→\s/g, ", for "], // what a step is done for
  [/÷/g, "divided by"],
  [/\s·\s/g, ", "],
  [/(\d),(?=\d{3}(?!\d))/g, "$1"], // thousands: "84,200 km"
];

/** The text as it should be spoken. */
export function spoken(text: string): string {
  text = text.trim().replace(/\s*\n\s*/g, ", ");
  for (const [pattern, words] of [...units, ...signs]) text = text.replace(pattern, words);
  return text.replace(/\s+/g, " ").trim();
}
