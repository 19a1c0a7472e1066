// What lies on what in the charts of a page: texts on texts, and texts on anything that is drawn but
// the grid and the frame. Runs inside the page, by the widths that the browser gives the texts.

export function chartFaults() {
  const AIR = 6; // hundredths of a millimetre that two boxes may share

  // Path data as chart/svg.rs writes it: a list of lines, each a list of places.
  function lines(data) {
    const all = [];
    for (const [, command, rest] of data.matchAll(/([MlLHVhza])([^MlLHVhza]*)/g)) {
      const n = (rest.match(/-?\d+(?:\.\d+)?/g) ?? []).map(Number);
      const line = all.at(-1);
      const at = line?.at(-1);
      if (command === "M") all.push([[n[0], n[1]]]);
      else if (command === "L") line.push([n[0], n[1]]);
      else if (command === "H") line.push([n[0], at[1]]);
      else if (command === "V") line.push([at[0], n[0]]);
      else if (command === "z") line.push(line[0]);
      else if (command === "a") line.push([at[0] + n[5] / 2, at[1] + n[0] * Math.sign(n[5])], [at[0] + n[5], at[1]]);
      else if (command === "l") {
        let [x, y] = at;
        for (let i = 0; i + 1 < n.length; i += 2) line.push([(x += n[i]), (y += n[i + 1])]);
      }
    }
    return all;
  }

  function crosses(box, [x0, y0], [x1, y1]) {
    let [from, to] = [0, 1];
    for (const [step, room] of [
      [x0 - x1, x0 - box.left],
      [x1 - x0, box.right - x0],
      [y0 - y1, y0 - box.top],
      [y1 - y0, box.bottom - y0],
    ]) {
      if (step === 0) {
        if (room <= 0) return false;
      } else if (step < 0) from = Math.max(from, room / step);
      else to = Math.min(to, room / step);
    }
    return from < to;
  }

  function box(svg, text) {
    const own = text.getBBox();
    const matrix = svg.getScreenCTM().inverse().multiply(text.getScreenCTM());
    const corners = [
      [own.x, own.y],
      [own.x + own.width, own.y + own.height],
    ].map(([x, y]) => new DOMPoint(x, y).matrixTransform(matrix));
    const [xs, ys] = [corners.map((c) => c.x), corners.map((c) => c.y)];
    return {
      text: text.textContent,
      left: Math.min(...xs) + AIR,
      right: Math.max(...xs) - AIR,
      top: Math.min(...ys) + AIR,
      bottom: Math.max(...ys) - AIR,
    };
  }

  document.querySelectorAll("details").forEach((folded) => (folded.open = true));
  const charts = [...document.querySelectorAll("svg.curve")];
  const faults = charts.flatMap((svg) => {
    const found = [];
    const boxes = [...svg.querySelectorAll("text")].map((text) => box(svg, text));
    const drawn = [...svg.querySelectorAll("path:not(.grid):not(.frame)")].flatMap((path) =>
      lines(path.getAttribute("d")).map((line) => [path.getAttribute("class"), line]),
    );
    const view = svg.viewBox.baseVal;
    boxes.forEach((one, n) => {
      if (Math.min(one.right - one.left, one.bottom - one.top) < 100) found.push(`"${one.text}" is too small`);
      if (one.left < 0 || one.top < 0 || one.right > view.width || one.bottom > view.height) found.push(`"${one.text}" leaves the chart`);
      for (const other of boxes.slice(n + 1)) {
        const over = one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom;
        if (over) found.push(`"${one.text}" on "${other.text}"`);
      }
      const under = drawn.find(([, line]) => line.some((at, i) => i > 0 && crosses(one, line[i - 1], at)));
      if (under) found.push(`"${one.text}" on a line of ${under[0]}`);
    });
    return found.map((what) => `chart ${svg.getAttribute("aria-labelledby").split(" ")[0]}: ${what}`);
  });
  return { charts: charts.length, faults };
}
