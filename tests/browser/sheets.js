// Marks the beginning and the end of every box that is to stay in one piece, by letters that
// take no room, so that they can be looked for on the sheets of the PDF.
function markBoxes() {
  const isText = (node) => node.data.trim() && !node.parentElement.closest("svg, title, style");
  const put = (text, letters, isBefore) => {
    // The last one lies on the letters before it: beyond them it may be cut off.
    const mark = document.createElement("span");
    mark.style.cssText = "position: absolute; font: 3px monospace; letter-spacing: 0; text-transform: none; white-space: nowrap" +
      (isBefore ? "" : "; transform: translateX(-100%)");
    mark.textContent = letters;
    text.parentNode.insertBefore(mark, isBefore ? text : text.nextSibling);
  };
  const boxes = [...document.body.querySelectorAll("*")].filter((box) =>
    getComputedStyle(box).breakInside.startsWith("avoid") && !box.closest("svg"));
  const ends = boxes.map((box) => {
    const walker = document.createTreeWalker(box, NodeFilter.SHOW_TEXT);
    const texts = [];
    while (walker.nextNode()) if (isText(walker.currentNode)) texts.push(walker.currentNode);
    return { box, first: texts[0], last: texts.at(-1) };
  }).filter(({ first }) => first);
  ends.forEach(({ first, last }, n) => {
    put(first, `Qa${n}q`, true);
    put(last, `Qz${n}q`, false);
  });
  return ends.map(({ box }) => box.textContent.replace(/Q[az]\d+q/g, "").trim().replace(/\s+/g, " ").slice(0, 60));
}
