// The desk's own script: pages work without it; it keeps work in sight as it goes on, and takes dropped files.

for (const input of document.querySelectorAll("[data-drop]")) {
  input.addEventListener("dragover", () => input.classList.add("over"));
  for (const end of ["dragleave", "drop"]) input.addEventListener(end, () => input.classList.remove("over"));
}

const planned = document.querySelector("[data-preview]");
if (planned) preview(planned);

function preview(form) {
  const page = document.querySelector("[data-page]");
  let waiting;
  const show = async () => {
    const body = new FormData(form);
    for (const [name, value] of [...body]) if (value instanceof File) body.delete(name);
    page.classList.add("old");
    const answer = await fetch(form.dataset.preview, { method: "POST", body });
    if (!answer.ok) return;
    const said = await answer.json();
    if (said.code === undefined) return; // a newer question is on its way
    page.hidden = false;
    page.classList.remove("old");
    page.querySelector("[data-page-words]").textContent = said.words;
    const picture = page.querySelector("[data-page-picture]");
    picture.hidden = !said.picture;
    if (said.picture) picture.src = said.picture;
  };
  const soon = () => {
    clearTimeout(waiting);
    waiting = setTimeout(show, 400);
  };
  form.addEventListener("input", soon);
  soon();
}

const open = document.querySelector("[data-work]");
if (open) follow(open);

function follow(section) {
  const what = section.querySelector("[data-what]");
  const bar = section.querySelector("[data-done]");
  const stream = new EventSource(`/work/${section.dataset.work}/events`);
  let last = "";
  stream.onmessage = (event) => {
    const state = JSON.parse(event.data);
    if (state.ended) {
      stream.close();
      location.reload();
      return;
    }
    if (bar) bar.value = state.done;
    if (state.what && state.what !== last) what.textContent = last = state.what;
    if (section.dataset.sitting && state.live) sitting(section, state.live);
  };
}

let shown = { number: -1, said: 0, strip: "" };

function sitting(section, live) {
  const find = (name) => section.querySelector(`[data-${name}]`);
  find("asks").textContent = live.asks ?? "";
  find("count").textContent = live.count ?? "";
  const said = find("said");
  for (const words of (live.said ?? []).slice(Math.max(0, shown.said - (live.before ?? 0)))) {
    const line = document.createElement("li");
    line.textContent = words;
    said.prepend(line);
  }
  shown.said = (live.before ?? 0) + (live.said ?? []).length;
  if (live.strip && live.strip.name !== shown.strip) {
    if (shown.strip) tone(1);
    shown.strip = live.strip.name;
    find("bands").hidden = false;
    band(find("expected"), live.strip.expected);
    band(find("read"), live.strip.read);
    spectra(find("read"), find("patch"), live.strip);
  }
  if (live.number !== shown.number) {
    if (shown.number >= 0 && live.offers?.length) tone(2);
    shown.number = live.number;
    find("answers").replaceChildren(...(live.offers ?? []).map((offer) => button(section, live.number, offer)));
    find("answers").querySelector("button")?.focus();
  }
}

const sounds = document.querySelector("[data-sounds]");
const sound = document.querySelector("[data-sound]");
let speaker;
if (sounds && window.AudioContext) {
  sounds.hidden = false;
  sound.checked = localStorage.getItem("sound") === "yes";
  sound.addEventListener("change", () => {
    localStorage.setItem("sound", sound.checked ? "yes" : "no");
    tone(1);
  });
}

function tone(times) {
  if (!sound?.checked) return;
  speaker ??= new AudioContext();
  for (let count = 0; count < times; count++) {
    const note = speaker.createOscillator(), loud = speaker.createGain(), start = speaker.currentTime + count * 0.22;
    note.frequency.value = times > 1 ? 440 : 660;
    loud.gain.setValueAtTime(0.15, start);
    loud.gain.exponentialRampToValueAtTime(0.001, start + 0.18);
    note.connect(loud).connect(speaker.destination);
    note.start(start);
    note.stop(start + 0.2);
  }
}

for (const form of document.querySelectorAll("[data-aside]"))
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const body = new FormData();
    body.set("said", event.submitter.value);
    await fetch(form.action, { method: "POST", body, headers: { accept: "application/json" } });
  });

// the spectrum of the patch under the pointer, or of the one that the arrow keys reached
function spectra(place, box, strip) {
  let at = -1;
  const show = (next) => {
    if (next === at || !(next in strip.spectra)) return;
    at = next;
    box.hidden = false;
    [...place.children].forEach((patch, count) => patch.classList.toggle("chosen", count === at));
    box.querySelector("output").textContent = strip.patches[at];
    spectrum(box.querySelector("canvas"), strip.wavelengths, strip.spectra[at]);
  };
  place.onpointermove = (event) => show([...place.children].indexOf(event.target));
  place.onkeydown = (event) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step) return;
    event.preventDefault();
    show(Math.max(0, Math.min(strip.spectra.length - 1, at + step)));
  };
}

function spectrum(canvas, wavelengths, values) {
  const pen = canvas.getContext("2d"), wide = canvas.width - 40, tall = canvas.height - 26;
  const first = wavelengths[0], last = wavelengths[wavelengths.length - 1], top = Math.max(1000, ...values);
  pen.clearRect(0, 0, canvas.width, canvas.height);
  pen.strokeStyle = pen.fillStyle = getComputedStyle(canvas).getPropertyValue("--ink");
  pen.font = "11px sans-serif";
  pen.lineWidth = 0.5;
  pen.strokeRect(30, 6, wide, tall);
  pen.fillText((top / 1000).toFixed(1), 8, 14);
  pen.fillText(`${first} nm`, 30, canvas.height - 4);
  pen.fillText(`${last} nm`, canvas.width - 50, canvas.height - 4);
  pen.lineWidth = 1.8;
  pen.beginPath();
  values.forEach((value, band) =>
    pen[band ? "lineTo" : "moveTo"](30 + ((wavelengths[band] - first) / (last - first)) * wide, 6 + tall - (value / top) * tall),
  );
  pen.stroke();
}

function band(place, colours) {
  place.replaceChildren(
    ...colours.map((colour) => {
      const patch = document.createElement("i");
      patch.style.background = colour;
      return patch;
    }),
  );
}

function button(section, number, offer) {
  const made = document.createElement("button");
  made.textContent = offer.words;
  made.addEventListener("click", async () => {
    for (const other of made.parentElement.children) other.disabled = true;
    const body = new FormData();
    body.set("answer", offer.answer);
    body.set("number", number);
    await fetch(`/work/${section.dataset.work}/answer`, { method: "POST", body, headers: { accept: "application/json" } });
  });
  return made;
}
