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
    shown.strip = live.strip.name;
    band(find("expected"), live.strip.expected);
    band(find("read"), live.strip.read);
  }
  if (live.number !== shown.number) {
    shown.number = live.number;
    find("answers").replaceChildren(...(live.offers ?? []).map((offer) => button(section, live.number, offer)));
    find("answers").querySelector("button")?.focus();
  }
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
