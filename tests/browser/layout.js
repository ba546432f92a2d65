// How a page is laid out, measured in the page: functions that return what is wrong as texts.

// Every text somebody sees, with the boxes of its lines.
function seenTexts() {
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const found = [];
  while (walker.nextNode()) {
    const node = walker.currentNode;
    const parent = node.parentElement;
    if (!node.data.trim() || parent.closest("title, style, desc, defs")) continue;
    if (!parent.checkVisibility({ visibilityProperty: true })) continue;
    // What is only said has no size.
    if (getComputedStyle(parent).clipPath !== "none") continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const lines = [...range.getClientRects()].filter((line) => line.width > 0.5);
    if (lines.length > 0) found.push({ parent, lines, text: node.data.trim().slice(0, 60) });
  }
  return found;
}

function named(element) {
  const text = element.textContent.trim().replace(/\s+/g, " ").slice(0, 60);
  return `<${element.tagName.toLowerCase()} class="${element.getAttribute("class") ?? ""}"> "${text}"`;
}

function whole(number) {
  return Math.round(number * 10) / 10;
}

// The page is no wider than that; a phone would shrink it else.
function tooWide(wide) {
  const root = document.documentElement;
  if (root.scrollWidth <= wide) return [];
  const out = [...document.body.querySelectorAll("*")].filter((element) => {
    const inside = element.parentElement.closest("[style*='overflow'], svg");
    return !inside && element.getBoundingClientRect().right > wide + 0.5;
  });
  return [`${root.scrollWidth} wide, ${out.slice(-3).map(named).join("; ")}`];
}

// Whether a text lies in a box up and down; a line's box has room above and below its letters.
function isWithinHeight(line, box) {
  return line.top + line.height * 0.2 > box.top - 1 && line.bottom - line.height * 0.2 < box.bottom + 1;
}

// No text sticks out of a box, or is hidden by one that cuts off. On a screen a box may scroll.
function overflowing(mayScroll) {
  const wrong = [];
  for (const { parent, lines, text } of seenTexts()) {
    if (parent.closest("svg")) continue;
    for (let holds = parent; holds !== document.body; holds = holds.parentElement) {
      const style = getComputedStyle(holds);
      if (style.display === "inline" || style.display === "contents") continue;
      if (mayScroll && style.overflowX === "auto") break;
      const box = holds.getBoundingClientRect();
      const isOut = (line) => line.right > box.right + 1 || line.left < box.left - 1 ||
        (style.overflowY !== "visible" && !isWithinHeight(line, box));
      if (lines.some(isOut)) {
        wrong.push(`"${text}" sticks out of ${named(holds)}`);
        break;
      }
    }
  }
  return wrong;
}

// What is to stay in one piece fits a sheet.
function tallerThan(sheet) {
  const whole = [...document.body.querySelectorAll("*")].filter((element) =>
    getComputedStyle(element).breakInside.startsWith("avoid"));
  const high = (element) => element.getBoundingClientRect().height;
  return whole.filter((element) => high(element) > sheet)
    .map((element) => `${named(element)} is ${Math.round(high(element))} high of ${sheet}`);
}

// No text lies on another. A line's box has room above and below its letters.
function overlapping() {
  const all = seenTexts().flatMap(({ lines, text, parent }) => lines.map((line) => ({
    text, parent,
    left: line.left + 0.5, right: line.right - 0.5,
    top: line.top + line.height * 0.22, bottom: line.bottom - line.height * 0.2,
  })));
  all.sort((one, other) => one.top - other.top);
  const wrong = [];
  all.forEach((one, n) => {
    for (let m = n + 1; m < all.length && all[m].top < one.bottom; m += 1) {
      const other = all[m];
      if (one.left < other.right && other.left < one.right && one.text !== other.text) {
        wrong.push(`"${one.text}" on "${other.text}" in ${named(one.parent)}`);
      }
    }
  });
  return wrong;
}

// Every text of a drawing lies in its drawing.
function outsideDrawings() {
  const wrong = [];
  for (const { parent, lines, text } of seenTexts()) {
    const drawing = parent.closest("svg");
    if (!drawing) continue;
    const room = drawing.getBoundingClientRect();
    const out = lines.some((line) => line.left < room.left - 0.5 || line.right > room.right + 0.5 ||
      line.top + line.height * 0.2 < room.top - 0.5 ||
      line.bottom - line.height * 0.2 > room.bottom + 0.5);
    if (out) wrong.push(`"${text}" of ${named(drawing)}`);
  }
  return wrong;
}

// How large letters come out, in points; those that are smaller than the least.
function smallerThan(least) {
  const wrong = [];
  for (const { parent, text } of seenTexts()) {
    const scale = parent.closest("svg") ? Math.hypot(parent.getScreenCTM().a, parent.getScreenCTM().b) : 1;
    const points = parseFloat(getComputedStyle(parent).fontSize) * scale * 0.75;
    if (points < least - 0.01) wrong.push(`"${text}" has ${whole(points)} pt in ${named(parent)}`);
  }
  return wrong;
}
