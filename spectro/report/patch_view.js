"use strict";
(() => {
  for (const box of document.querySelectorAll(".patch-view")) {
    const page = JSON.parse(box.querySelector("script[type='application/json']").textContent);
    const sheet = box.querySelector(".patches"), graph = box.querySelector(".spectrum"), words = box.querySelector("output");
    const columns = page.strips.length, lines = 1 + Math.max(...page.patches.map((patch) => patch.at[1]));
    const places = new Map(page.patches.map((patch) => [patch.at.join(), patch]));
    const whole = document.createElement("canvas");
    const most = 6; // ms of drawing in one frame: pointing and scrolling go on meanwhile
    let wide = 1, tall = 1, chosen = null, ink = "#1c1c1c", paper = "#fff", laid = 0, waiting = false;
    box.hidden = false;

    const plain = (number) => number.toFixed(1).replace("-", "−").replace("−0.0", "0.0");
    const lay = () => {
      const sharp = devicePixelRatio || 1;
      wide = Math.max(3, Math.min(34, Math.floor(box.clientWidth / columns)));
      tall = Math.max(6, Math.min(wide * .8, 560 / lines));
      for (const canvas of [sheet, whole]) { canvas.width = wide * columns * sharp; canvas.height = Math.ceil(tall * lines) * sharp; }
      sheet.style.width = `${wide * columns}px`; sheet.style.height = `${Math.ceil(tall * lines)}px`;
      const style = getComputedStyle(box);
      ink = style.getPropertyValue("--ink"); paper = style.getPropertyValue("--paper");
      whole.getContext("2d").scale(sharp, sharp);
      laid = 0;
      soon();
    };
    const soon = () => {
      if (waiting || laid >= page.patches.length) return;
      waiting = true;
      requestAnimationFrame(some);
    };
    const some = () => {
      const end = performance.now() + most, pen = whole.getContext("2d");
      waiting = false;
      while (laid < page.patches.length && performance.now() < end) lay_one(pen, page.patches[laid++]);
      draw();
      soon();
    };
    const lay_one = (pen, patch) => {
      const [x, y] = [patch.at[0] * wide, patch.at[1] * tall];
      pen.fillStyle = pen.strokeStyle = patch.colour ?? ink;
      if (patch.colour) pen.fillRect(x + .5, y + .5, wide - 1, tall - 1);
      else { pen.lineWidth = .5; pen.strokeRect(x + 1, y + 1, wide - 2, tall - 2); }
    };
    const frame = (pen, patch, colour, width) => {
      pen.strokeStyle = colour; pen.lineWidth = width;
      pen.strokeRect(patch.at[0] * wide + .5, patch.at[1] * tall + .5, wide - 1, tall - 1);
    };
    const draw = () => {
      const sharp = devicePixelRatio || 1, pen = sheet.getContext("2d");
      pen.setTransform(1, 0, 0, 1, 0, 0);
      pen.clearRect(0, 0, sheet.width, sheet.height);
      pen.drawImage(whole, 0, 0);
      pen.scale(sharp, sharp);
      if (chosen) { frame(pen, chosen, paper, 5); frame(pen, chosen, ink, 2); }
      plot();
    };
    const plot = () => {
      const sharp = devicePixelRatio || 1, pen = graph.getContext("2d"), [w, h] = [260, 120];
      graph.width = w * sharp; graph.height = h * sharp;
      pen.scale(sharp, sharp);
      pen.fillStyle = pen.strokeStyle = ink; pen.font = "11px sans-serif";
      const first = page.wavelengths[0], last = page.wavelengths[page.wavelengths.length - 1];
      const spectrum = chosen?.spectrum, top = Math.max(1000, ...(spectrum ?? []));
      const at = (nm, value) => [28 + (nm - first) / (last - first) * (w - 36), h - 18 - value / top * (h - 26)];
      pen.lineWidth = .5;
      pen.strokeRect(28, 8, w - 36, h - 26);
      pen.fillText("0", 18, h - 16); pen.fillText((top / 1000).toFixed(1), 6, 14);
      pen.fillText(`${first} nm`, 28, h - 4);
      pen.textAlign = "right"; pen.fillText(`${last} nm`, w - 8, h - 4); pen.textAlign = "left";
      if (!spectrum) return;
      pen.lineWidth = 1.8;
      pen.beginPath();
      spectrum.forEach((value, band) => pen[band ? "lineTo" : "moveTo"](...at(page.wavelengths[band], value)));
      pen.stroke();
    };
    const show = (patch) => {
      if (!patch || patch === chosen) return;
      chosen = patch;
      draw();
      const saying = [`${patch.name}: device values ${patch.device.map((value) => +value).join(" ")} %`];
      saying.push(patch.lab ? `read as L* a* b* ${patch.lab.map(plain).join(" ")}` : "not read");
      if (patch.doubt) saying.push(patch.doubt);
      words.textContent = saying.join("; ");
    };
    const step = (right, down) => {
      let [x, y] = chosen ? chosen.at : [0, 0];
      if (!chosen) { show(page.patches[0]); return; }
      for (let tries = 0; tries < columns * lines; tries++) {
        x += right; y += down;
        if (x < 0 || y < 0 || x >= columns || y >= lines) return;
        if (places.has(`${x},${y}`)) { show(places.get(`${x},${y}`)); return; }
      }
    };
    sheet.addEventListener("pointermove", (event) => {
      show(places.get(`${Math.floor(event.offsetX / wide)},${Math.floor(event.offsetY / tall)}`));
    });
    sheet.addEventListener("keydown", (event) => {
      const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }, way = ways[event.key];
      if (event.key === "Home") show(page.patches[0]);
      else if (way) step(...way);
      else return;
      event.preventDefault();
    });
    addEventListener("resize", lay);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", lay);
    lay();
  }
})();
