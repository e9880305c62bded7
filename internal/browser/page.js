// What tests ask of a page, from inside it. The text is put in front of each
// question, inside a function of its own, so it leaves nothing behind.

const tappable = "button, a[href], summary, label, option, [role=button], [role=link], [role=tab], [role=menuitem], input[type=submit], input[type=button], input[type=reset], input[type=image]";

const squeeze = (text) => (text || "").replace(/\s+/g, " ").trim();

function seen(el) {
  if (!el.checkVisibility({ visibilityProperty: true })) return false;
  const r = el.getBoundingClientRect();
  return r.width > 0 && r.height > 0;
}

// wordsOf are all the words by which a person might name something to tap.
function wordsOf(el) {
  const own = [el.innerText ?? el.textContent, el.getAttribute("aria-label"), el.getAttribute("title")];
  if (el.matches("input")) own.push(el.value, el.alt);
  return own.map(squeeze).filter((w) => w);
}

// best takes the first candidate named exactly so, else by its beginning, else
// by a part.
function best(candidates, what, words) {
  const want = squeeze(what);
  for (const fits of [(w) => w === want, (w) => w.startsWith(want), (w) => w.includes(want)]) {
    const hit = candidates.find((el) => words(el).some(fits));
    if (hit) return hit;
  }
  return null;
}

function bySelector(what) {
  try {
    return [...document.querySelectorAll(what)].find(seen) || null;
  } catch {
    return null; // words, not a selector
  }
}

function find(what) {
  return bySelector(what) || best([...document.querySelectorAll(tappable)].filter(seen), what, wordsOf);
}

function texts(selector) {
  return [...document.querySelectorAll(selector)].filter(seen).map((el) => squeeze(el.innerText ?? el.textContent));
}

function reads(words) {
  return !!document.body && squeeze(document.body.innerText).includes(squeeze(words));
}

function describe(el) {
  if (!el) return "nothing";
  let text = "<" + el.tagName.toLowerCase();
  if (el.id) text += ' id="' + el.id + '"';
  const cls = el.getAttribute && el.getAttribute("class");
  if (cls) text += ' class="' + cls + '"';
  return text + "> " + JSON.stringify((wordsOf(el)[0] || "").slice(0, 60));
}

// reach brings something into view and returns where to touch it.
function reach(what) {
  const el = find(what);
  if (!el) return { Problem: "there is no such thing to be seen" };
  if (el.disabled || el.getAttribute("aria-disabled") === "true") return { Problem: describe(el) + " is switched off" };
  el.scrollIntoView({ block: "center", inline: "center", behavior: "instant" });
  const r = el.getClientRects()[0] || el.getBoundingClientRect();
  const x = r.left + r.width / 2, y = r.top + r.height / 2;
  const top = document.elementFromPoint(x, y);
  // What lies on top may be inside the thing, or be what the thing labels.
  const same = top && (el.contains(top) || top.contains(el) || (el.matches("label") && el.control === top));
  if (!same) return { Problem: describe(el) + " is covered by " + describe(top) };
  // A phone may show a part of the page's own window; fingers land in that part.
  return { X: x - visualViewport.offsetLeft, Y: y - visualViewport.offsetTop, Problem: "" };
}

const fields = "input:not([type=hidden]), select, textarea";

function labelsOf(el) {
  return [...(el.labels || [])].map((l) => squeeze(l.innerText))
    .concat(squeeze(el.getAttribute("aria-label")), squeeze(el.getAttribute("placeholder")), el.name || "")
    .filter((w) => w);
}

// fill sets a field, or selects its text for typing and returns "type".
function fill(what, value) {
  const el = bySelector(what) || best([...document.querySelectorAll(fields)].filter(seen), what, labelsOf);
  if (!el) return "there is no such field to be seen";
  if (el.disabled || el.readOnly) return describe(el) + " cannot be changed";
  el.scrollIntoView({ block: "center", behavior: "instant" });
  el.focus();
  const told = () => {
    el.dispatchEvent(new Event("input", { bubbles: true }));
    el.dispatchEvent(new Event("change", { bubbles: true }));
  };
  if (el.matches("select")) {
    const option = [...el.options].find((o) => squeeze(o.text) === squeeze(value) || o.value === value);
    if (!option) return "its choices are " + [...el.options].map((o) => squeeze(o.text)).join(", ");
    option.selected = true;
    told();
    return "done";
  }
  if (el.matches("[type=checkbox], [type=radio]")) {
    if (el.checked !== (value === "on")) el.click();
    return "done";
  }
  if (el.matches("[type=date], [type=time], [type=datetime-local], [type=month], [type=week], [type=color], [type=range]")) {
    el.value = value;
    if (el.value !== value) return "it does not take this value";
    told();
    return "done";
  }
  if (!el.matches("input, textarea")) return describe(el) + " is not a field";
  el.select();
  if (value === "") {
    el.value = "";
    told();
    return "done";
  }
  return "type";
}

const targets = "a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button], [role=link], [role=tab], [tabindex]:not([tabindex='-1'])";

// offPage tells whether something is parked outside the page, as a skip link
// is until it has the focus, or clipped to nothing for screen readers.
function offPage(r) {
  return r.right + scrollX <= 0 || r.bottom + scrollY <= 0 || r.width <= 1 || r.height <= 1;
}

// inText tells whether a link is part of a sentence, where the line height
// decides its size (WCAG 2.2, 2.5.8, the inline exception).
function inText(el) {
  if (!el.matches("a") || getComputedStyle(el).display !== "inline") return false;
  const rest = squeeze(el.parentElement.textContent).length - squeeze(el.textContent).length;
  return rest > 0;
}

// smallTargets lists what can be tapped but is under `least` CSS pixels.
function smallTargets(least) {
  const found = [];
  for (const el of document.querySelectorAll(targets)) {
    if (!seen(el) || el.disabled || inText(el)) continue;
    let r = el.getBoundingClientRect();
    if (offPage(r)) continue;
    for (const label of el.labels || []) { // tapping the label works too
      const l = label.getBoundingClientRect();
      const left = Math.min(r.left, l.left), top = Math.min(r.top, l.top);
      r = new DOMRect(left, top, Math.max(r.right, l.right) - left, Math.max(r.bottom, l.bottom) - top);
    }
    if (r.width < least - 0.5 || r.height < least - 0.5) {
      found.push(describe(el) + " is " + Math.round(r.width) + " by " + Math.round(r.height));
    }
  }
  return found;
}

// scrolls tells whether something lies in a part of the page that scrolls or
// clips sideways by itself and that fits the screen.
function scrolls(el, width) {
  for (let p = el.parentElement; p && p !== document.body; p = p.parentElement) {
    if (getComputedStyle(p).overflowX !== "visible" && p.getBoundingClientRect().right <= width + 1) return true;
  }
  return false;
}

// overflow lists what is cut off at the side of a screen `width` wide, and
// words cut off by the box they are in.
function overflow(width) {
  const found = [], root = document.documentElement;
  if (root.clientWidth > width) found.push("the page is laid out " + root.clientWidth + " wide on a screen of " + width);
  if (root.scrollWidth > root.clientWidth + 1) found.push("the page scrolls sideways, it is " + root.scrollWidth + " wide");
  for (const el of document.body.querySelectorAll("*")) {
    if (!seen(el)) continue;
    const r = el.getBoundingClientRect(), style = getComputedStyle(el);
    if (offPage(r)) continue;
    if ((r.right > width + 1 || r.left < -1) && !scrolls(el, width)) {
      found.push(describe(el) + " reaches from " + Math.round(r.left) + " to " + Math.round(r.right));
    } else if (/^(hidden|clip)$/.test(style.overflowX) && el.scrollWidth > el.clientWidth + 1 && el.clientWidth > 1 && squeeze(el.innerText)) {
      found.push(describe(el) + " cuts its words off, they need " + el.scrollWidth + " and have " + el.clientWidth);
    }
  }
  return found;
}
