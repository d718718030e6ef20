"use strict";
(() => {
  for (const box of document.querySelectorAll(".gamut-view")) {
    const data = JSON.parse(box.querySelector("script[type='application/json']").textContent);
    const canvas = box.querySelector("canvas"), words = box.querySelector("output");
    const pen = canvas.getContext("2d"), still = matchMedia("(prefers-reduced-motion: reduce)");
    let turn = 300, tilt = 18, zoom = 1, filled = 0, held = null, going = 0, last = 0;
    box.hidden = false;

    const seen = (p) => {
      const t = turn * Math.PI / 180, e = tilt * Math.PI / 180;
      const right = -p[1] * Math.sin(t) + p[2] * Math.cos(t), near = p[1] * Math.cos(t) + p[2] * Math.sin(t);
      const up = p[0] - 50, size = zoom * canvas.width / 250;
      return [canvas.width / 2 + right * size, canvas.height / 2 - (up * Math.cos(e) - near * Math.sin(e)) * size,
        near * Math.cos(e) + up * Math.sin(e)];
    };
    const path = (points, closed) => {
      pen.beginPath();
      points.forEach((p, i) => i ? pen.lineTo(p[0], p[1]) : pen.moveTo(p[0], p[1]));
      if (closed) pen.closePath();
    };
    const draw = () => {
      const wide = Math.round(box.clientWidth * (devicePixelRatio || 1));
      if (canvas.width !== wide) { canvas.width = wide; canvas.height = Math.round(wide * .68); }
      pen.clearRect(0, 0, canvas.width, canvas.height);
      const thin = Math.max(1, canvas.width / 900);
      pen.lineWidth = thin; pen.strokeStyle = "#9a9a9a";
      path([seen([0, 0, 0]), seen([100, 0, 0])]); pen.stroke();
      const floor = [];
      for (let i = 0; i < 48; i++) floor.push(seen([0, 100 * Math.cos(i * Math.PI / 24), 100 * Math.sin(i * Math.PI / 24)]));
      path(floor, true); pen.stroke();
      pen.fillStyle = "#5f5f5f"; pen.font = `${12 * canvas.width / Math.max(box.clientWidth, 1)}px sans-serif`;
      pen.textAlign = "center";
      for (const [name, a, b] of [["+a*", 112, 0], ["+b*", 0, 112], ["−a*", -112, 0], ["−b*", 0, -112]]) {
        const p = seen([0, a, b]); pen.fillText(name, p[0], p[1]);
      }
      const solid = data[filled], squares = [];
      solid.faces.forEach((face, f) => {
        const at = face.map((row) => row.map(seen));
        for (let r = 0; r + 1 < at.length; r++) for (let c = 0; c + 1 < at.length; c++) {
          const four = [at[r][c], at[r + 1][c], at[r + 1][c + 1], at[r][c + 1]];
          squares.push([four[0][2] + four[1][2] + four[2][2] + four[3][2], four, solid.colours[f][r][c]]);
        }
      });
      squares.sort((x, y) => x[0] - y[0]);
      for (const [, four, colour] of squares) { pen.fillStyle = pen.strokeStyle = colour; path(four, true); pen.fill(); pen.stroke(); }
      for (const face of data[1 - filled].faces) {
        const at = face.map((row) => row.map(seen)), end = at.length - 1;
        for (let r = 0; r <= end; r += 2) {
          const edge = r === 0 || r === end;
          pen.strokeStyle = edge ? "rgba(28,28,28,.85)" : "rgba(28,28,28,.45)"; pen.lineWidth = (edge ? 1.6 : .8) * thin;
          path(at[r]); pen.stroke(); path(at.map((row) => row[r])); pen.stroke();
        }
      }
    };
    const show = (say) => {
      turn = (turn % 360 + 360) % 360; tilt = Math.max(-90, Math.min(90, tilt)); zoom = Math.max(.5, Math.min(3, zoom));
      draw();
      if (say) words.textContent = `Seen from hue ${Math.round(turn)}°, ${Math.round(Math.abs(tilt))}° ` +
        `${tilt < 0 ? "below" : "above"} level; in colour: ${data[filled].name}, net: ${data[1 - filled].name}.`;
    };
    const step = (time) => {
      if (!going) return;
      turn += Math.min(time - last, 50) * .024; last = time; show(false); going = requestAnimationFrame(step);
    };
    const stop = () => { if (going) { cancelAnimationFrame(going); going = 0; show(true); } };
    const does = {
      left: () => { turn -= 10; }, right: () => { turn += 10; }, up: () => { tilt += 10; }, down: () => { tilt -= 10; },
      nearer: () => { zoom *= 1.15; }, farther: () => { zoom /= 1.15; }, swap: () => { filled = 1 - filled; },
      home: () => { turn = 300; tilt = 18; zoom = 1; },
      spin: () => {
        if (still.matches) { turn += 30; return; }
        last = performance.now(); going = requestAnimationFrame(step);
      },
    };
    const keys = { ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down", "+": "nearer", "=": "nearer",
      "-": "farther", Home: "home", " ": "spin", x: "swap" };
    const act = (name) => {
      const turning = going;
      stop();
      if (!(name === "spin" && turning)) does[name]();
      show(true);
    };
    canvas.addEventListener("keydown", (event) => {
      const name = keys[event.key];
      if (name && !event.ctrlKey && !event.metaKey && !event.altKey) { event.preventDefault(); act(name); }
    });
    box.addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (button) act(button.dataset.act);
    });
    canvas.addEventListener("pointerdown", (event) => { stop(); held = [event.clientX, event.clientY]; canvas.setPointerCapture(event.pointerId); });
    canvas.addEventListener("pointermove", (event) => {
      if (!held) return;
      turn -= (event.clientX - held[0]) * .5; tilt += (event.clientY - held[1]) * .5;
      held = [event.clientX, event.clientY]; show(false);
    });
    for (const kind of ["pointerup", "pointercancel"]) canvas.addEventListener(kind, () => { if (held) { held = null; show(true); } });
    addEventListener("resize", () => show(false));
    show(true);
  }
})();
