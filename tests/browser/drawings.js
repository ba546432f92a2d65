// Lengths in drawings as they come out on paper, in millimetres.
const millimetre = 96 / 25.4;

// Of every drawing to scale: what it says, what it is, and its sizes in millimetres of the
// thing, each with its text.
function drawingsToScale() {
  return [...document.querySelectorAll("figure.drawing")].flatMap((figure) => {
    const said = figure.querySelector("figcaption").textContent.match(/scale ([\d.]+):([\d.]+)/);
    if (!said) return [];
    const drawing = figure.querySelector("svg");
    const scale = drawing.querySelector("g").getScreenCTM().a / millimetre;
    const sizes = [...drawing.querySelectorAll("g.size")].flatMap((size) => {
      const ends = [...size.querySelectorAll("line.extension")].map((line) => {
        const box = line.getBoundingClientRect();
        return { box, isUpright: box.height > box.width };
      });
      if (ends.length !== 2) return [];
      const middle = ({ box, isUpright }) => isUpright ? box.x + box.width / 2 : box.y + box.height / 2;
      const length = Math.abs(middle(ends[0]) - middle(ends[1])) / millimetre / scale;
      return [{ length, text: size.querySelector("text").textContent }];
    });
    return [{ said: Number(said[1]) / Number(said[2]), scale, sizes }];
  });
}

// Of every drawn board: its name, the scale that it says, the one that it has, and its marks
// in millimetres of the board.
function drawnBoards() {
  return [...document.querySelectorAll(".rack")].map((rack) => {
    const scales = [];
    const marks = [...rack.querySelectorAll("svg.board")].flatMap((row) => {
      const [from, to] = [row.dataset.from, row.dataset.to].map(Number);
      const place = (shape) => {
        const box = shape.getBBox();
        const at = shape.getScreenCTM();
        return { left: at.a * box.x + at.e, wide: at.a * box.width };
      };
      const board = place(row.querySelector(".outline"));
      scales.push((to - from) / (board.wide / millimetre));
      return [...row.querySelectorAll("line.mark")].map((mark) =>
        from + (place(mark).left - board.left) * (to - from) / board.wide);
    });
    const said = rack.querySelector(".about")?.textContent.match(/Drawn 1 : ([\d.]+)/);
    return { name: rack.querySelector("h1").textContent, said: Number(said?.[1]), scales, marks };
  });
}
