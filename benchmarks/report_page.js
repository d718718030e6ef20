// What is wrong with a report page as it is laid out now: run inside the page, returns faults, figures and smallest letters.
(() => {
  const faults = [], wide = document.documentElement.clientWidth;
  const named = (one) => `${one.tagName.toLowerCase()}${one.id ? "#" + one.id : ""} “${(one.textContent || "").trim().slice(0, 40)}”`;
  if (document.documentElement.scrollWidth > wide) faults.push(`the page is ${document.documentElement.scrollWidth} px wide`);
  const scrolls = (one) => {
    for (let up = one.parentElement; up; up = up.parentElement)
      if (["auto", "scroll", "hidden"].includes(getComputedStyle(up).overflowX)) return true;
    return false;
  };
  const told = new Set();  // what lies inside something too wide is not told again
  for (const one of document.querySelectorAll("main *:not(svg *)")) {
    const box = one.getBoundingClientRect();
    if (!box.width || box.right <= wide + 1 || scrolls(one)) continue;
    if (!told.has(one.parentElement)) faults.push(`${named(one)} ends at ${box.right.toFixed(0)} px`);
    told.add(one);
  }
  const figures = document.querySelectorAll("figure");
  let letters = 99;
  for (const figure of figures) {
    const drawn = figure.querySelector("svg, img, canvas");
    if (!drawn) { faults.push(`a figure without a picture: ${named(figure)}`); continue; }
    const box = drawn.getBoundingClientRect();
    if (box.width < 100 || box.height < 20) faults.push(`a figure of ${box.width} × ${box.height} px: ${named(figure)}`);
    if (drawn.tagName === "IMG" && !drawn.naturalWidth) faults.push(`a picture that does not load: ${named(figure)}`);
    const words = drawn.getAttribute("aria-label") || drawn.getAttribute("alt") || "";
    if (words.length < 10) faults.push(`a figure without words: ${named(figure)}`);
    for (const text of drawn.querySelectorAll("text")) {
      const around = text.getBoundingClientRect();
      if (around.right > box.right + 1.5 || around.left < box.left - 1.5 || around.bottom > box.bottom + 1.5)
        faults.push(`letters outside a figure: ${named(text)}`);
      const scale = Math.hypot(text.getScreenCTM().a, text.getScreenCTM().b);
      letters = Math.min(letters, parseFloat(getComputedStyle(text).fontSize) * scale);
    }
  }
  const verdict = document.querySelector("#verdict");
  if (figures.length && !(verdict && verdict.textContent.trim())) faults.push("no verdict");
  return { faults, figures: figures.length, letters };
})()
