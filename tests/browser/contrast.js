// The contrast of every text against what it lies on, by the formulas of WCAG 2.2 (W3C
// Recommendation, "relative luminance" and "contrast ratio").

function relativeLuminance([red, green, blue]) {
  const linear = (part) => {
    const share = part / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
}

function contrastRatio(one, other) {
  const [dark, light] = [one, other].map(relativeLuminance).sort((a, b) => a - b);
  return (light + 0.05) / (dark + 0.05);
}

// Red, green, blue and how much of it is seen; nothing of what isn't a plain colour.
function parts(colour) {
  const numbers = colour.match(/^rgba?\(([^)]*)\)$/)?.[1].split(/[ ,/]+/).map(Number);
  return numbers && [...numbers.slice(0, 3), numbers[3] ?? 1];
}

function over(above, below) {
  return [0, 1, 2].map((n) => above[n] * above[3] + below[n] * (1 - above[3]));
}

// What a shape puts under a place; hatching counts as if it were all line.
function shapeColour(shape) {
  const style = getComputedStyle(shape);
  const opacity = Number(style.opacity);
  const pattern = style.fill.match(/url\("?#([^")]*)/)?.[1];
  const inside = pattern && document.getElementById(pattern)?.querySelector("[stroke], [fill]");
  const paint = inside ? getComputedStyle(inside).stroke : style.fill;
  const colour = parts(paint) ?? [0, 0, 0, 0];
  return [...colour.slice(0, 3), colour[3] * opacity * Number(style.fillOpacity)];
}

// The colour under a text at a place: shapes of its drawing, then boxes around it.
function colourUnder(element, x, y) {
  const layers = [];
  const drawing = element.closest("svg");
  const style = getComputedStyle(element);
  if (drawing && style.paintOrder.startsWith("stroke") && style.stroke !== "none") {
    // Letters with an outline under them are seen against that.
    layers.push(parts(style.stroke));
  }
  if (drawing) {
    const shapes = document.elementsFromPoint(x, y).filter((shape) =>
      drawing.contains(shape) && shape !== drawing && !shape.closest("text") && shape.tagName !== "g");
    layers.push(...shapes.map(shapeColour));
  }
  for (let box = element; box; box = box.parentElement) {
    layers.push(parts(getComputedStyle(box).backgroundColor) ?? [0, 0, 0, 0]);
  }
  return layers.reduceRight((below, above) => over(above, below), [255, 255, 255]);
}

// Texts with less contrast than that, and the least there is.
function contrastBelow(wanted) {
  const wrong = [];
  let least = 21;
  for (const { parent, lines, text } of seenTexts()) {
    const style = getComputedStyle(parent);
    const ink = parts(parent.closest("svg") ? style.fill : style.color) ?? [128, 128, 128, 1];
    // Outside drawings every line of a text lies on the same.
    const isDrawn = parent.closest("svg") !== null;
    for (const line of isDrawn ? lines : lines.slice(0, 1)) {
      for (const across of isDrawn ? [0.1, 0.5, 0.9] : [0.5]) {
        const paper = colourUnder(parent, line.left + line.width * across, line.top + line.height / 2);
        const ratio = contrastRatio(over(ink, paper), paper);
        least = Math.min(least, ratio);
        if (ratio < wanted) wrong.push(`"${text}" ${whole(ratio)} in ${named(parent)}`);
      }
    }
  }
  return { wrong, least };
}
