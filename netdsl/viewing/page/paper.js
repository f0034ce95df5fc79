"use strict";
// The sheet on its board: its size, its place, what a click on it means, and marks over it.
netdsl.paper = (() => {
  const { el } = netdsl;
  const board = el("board"), paper = el("paper"), marks = el("marks");
  const TRUE = 96 / 25.4; // pixels of a mm at true size
  const LEAST = 0.1 * TRUE, MOST = 8 * TRUE;
  let hits = { width: 420, height: 297, names: [], hits: [] };
  let scale = TRUE, fitted = true, shown = "";

  // --- size and place ------------------------------------------------------------------------------------------
  const size = (wanted, at) => {
    const before = scale, box = paper.getBoundingClientRect(), frame = board.getBoundingClientRect();
    const point = at || { x: frame.left + board.clientWidth / 2, y: frame.top + board.clientHeight / 2 };
    const mm = { x: (point.x - box.left) / before, y: (point.y - box.top) / before };
    scale = Math.min(Math.max(wanted, LEAST), MOST);
    paper.style.width = `${hits.width * scale}px`;
    paper.style.height = `${hits.height * scale}px`;
    const now = paper.getBoundingClientRect();
    board.scrollLeft += now.left + mm.x * scale - point.x;
    board.scrollTop += now.top + mm.y * scale - point.y;
    marks.style.setProperty("--wide", `${Math.min(Math.max(1.4 * scale, 2), 7)}px`);
    el("zoom").value = `${Math.round((100 * scale) / TRUE)} %`;
  };
  const whole = () => {
    fitted = true;
    if (!board.clientWidth) return; // not shown now
    size(Math.min((board.clientWidth - 16) / hits.width, (board.clientHeight - 16) / hits.height));
  };
  const zoom = (factor, at) => { fitted = false; size(scale * factor, at); };
  const trueSize = () => { fitted = false; size(TRUE); };
  const fitAgain = () => { if (fitted) whole(); };

  // --- what stands where ---------------------------------------------------------------------------------------
  const mmOf = (event) => {
    const box = paper.getBoundingClientRect();
    return [(event.clientX - box.left) / scale, (event.clientY - box.top) / scale];
  };
  const toSegment = (x, y, x1, y1, x2, y2) => {
    const dx = x2 - x1, dy = y2 - y1, along = dx * dx + dy * dy;
    const t = along ? Math.min(Math.max(((x - x1) * dx + (y - y1) * dy) / along, 0), 1) : 0;
    return Math.hypot(x - x1 - t * dx, y - y1 - t * dy);
  };
  const edges = (hit) => {
    const [, kind, at] = hit;
    if (kind === 2) return [at[0], at[1], at[2], at[1], at[2], at[3], at[0], at[3], at[0], at[1]];
    return kind === 1 ? [...at, at[0], at[1]] : at;
  };
  const extent = (at) => {
    const xs = at.filter((_, n) => n % 2 === 0), ys = at.filter((_, n) => n % 2);
    return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  };
  const within = (x, y, [left, top, right, bottom]) => x >= left && x <= right && y >= top && y <= bottom;
  /** The hit at a point in mm: inside a text, else the nearest line within reach, else the least closed outline around. */
  const hitAt = (x, y, reach) => {
    let best = null, near = reach, outline = null, area = Infinity;
    for (const hit of hits.hits) {
      const [, kind, at] = hit;
      if (kind === 2 && within(x, y, at)) return hit;
      const line = edges(hit);
      for (let n = 0; n + 3 < line.length; n += 2) {
        const far = toSegment(x, y, line[n], line[n + 1], line[n + 2], line[n + 3]);
        if (far < near) { near = far; best = hit; }
      }
      if (kind === 1) {
        const box = extent(at), here = (box[2] - box[0]) * (box[3] - box[1]);
        if (here < area && within(x, y, box)) { area = here; outline = hit; }
      }
    }
    return best || outline;
  };
  const nameOf = (hit) => (hit && hit[0] >= 0 ? netdsl.called(hits.names[hit[0]]) : "");

  // --- marks ---------------------------------------------------------------------------------------------------
  const put = (points, as, name) => {
    const line = document.createElementNS("http://www.w3.org/2000/svg", "polyline");
    line.setAttribute("points", points.join(" "));
    line.setAttribute("class", as);
    line.dataset.name = name;
    marks.append(line);
  };
  /** Mark what a sheet draws of a thing; of what it draws only by its terminals, these. */
  const draw = (name, as) => {
    const own = hits.hits.filter((hit) => nameOf(hit) === name);
    const found = own.length ? own : hits.hits.filter((hit) => nameOf(hit).startsWith(`${name}:`) && !nameOf(hit).includes(" -- "));
    for (const hit of found) put(edges(hit), hit[1] === 2 ? `${as} text` : as, name);
    if (as === "hover" || found.length > 3) return found;
    // a ring, lest something small be looked for; it also tells without colour
    for (const [left, top, right, bottom] of found.map((hit) => extent(hit[2]))) {
      if (right - left < 8 && bottom - top < 8) put([left - 2, top - 2, right + 2, top - 2, right + 2, bottom + 2, left - 2, bottom + 2, left - 2, top - 2], `${as} ring`, name);
    }
    return found;
  };
  /** Mark what is chosen or found; the hits that are marked. */
  const mark = () => {
    marks.replaceChildren();
    const found = netdsl.marked.names.flatMap((name) => {
      const own = draw(name, netdsl.marked.as);
      const stands = own.length ? [] : netdsl.thing(name)?.marks || [];
      return own.concat(stands.flatMap((each) => draw(each, netdsl.marked.as)));
    });
    return found;
  };
  /** Bring marks into sight, large enough to be read. */
  const toMarks = (found) => {
    if (!found.length || !board.clientWidth) return;
    const boxes = found.map((hit) => extent(hit[2]));
    const all = [Math.min(...boxes.map((b) => b[0])), Math.min(...boxes.map((b) => b[1])), Math.max(...boxes.map((b) => b[2])), Math.max(...boxes.map((b) => b[3]))];
    const room = ([left, top, right, bottom]) => Math.min(board.clientWidth / (right - left + 60), board.clientHeight / (bottom - top + 40));
    // of what is spread further than can be read at once, the first
    const region = room(all) < 0.5 * TRUE && room(all) < scale * 1.5 ? boxes[0] : all;
    if (scale < 0.8 * TRUE && room(region) > scale) { fitted = false; size(Math.min(room(region), 0.8 * TRUE)); }
    const [left, top, right, bottom] = room(all) < scale * 0.8 ? boxes[0] : region;
    const box = paper.getBoundingClientRect(), frame = board.getBoundingClientRect();
    board.scrollLeft += box.left - frame.left + ((left + right) / 2) * scale - board.clientWidth / 2;
    board.scrollTop += box.top - frame.top + ((top + bottom) / 2) * scale - board.clientHeight / 2;
  };

  // --- the sheet -----------------------------------------------------------------------------------------------
  /** Show a page; drawn anew, it keeps size and place. Gives whether it is shown now: another may have been asked for meanwhile. */
  const show = async (page) => {
    const same = paper.dataset.key === page.key, wanted = `${page.key} ${page.version}`;
    shown = wanted;
    const picture = new Image();
    picture.src = netdsl.live ? `sheets/${page.key}.svg?${page.version}` : `${page.key}.svg`;
    const [loaded] = await Promise.all([netdsl.load(netdsl.live ? `hits/${page.key}` : `hits-${page.key}`, page.version), picture.decode()]);
    if (shown !== wanted) return false;
    const first = !paper.dataset.key, other = hits.width !== loaded.width || hits.height !== loaded.height;
    hits = loaded;
    picture.id = "sheet";
    picture.alt = `Sheet ${page.number}: ${page.title}`;
    picture.draggable = false;
    el("sheet").replaceWith(picture);
    paper.dataset.key = page.key;
    paper.dataset.version = page.version;
    paper.className = page.size;
    marks.setAttribute("viewBox", `0 0 ${hits.width} ${hits.height}`);
    if (first || other || (!same && fitted)) whole();
    else if (!same) { board.scrollLeft = 0; board.scrollTop = 0; }
    return true;
  };
  const names = () => [...new Set(hits.names.map(netdsl.called).filter(Boolean))];

  // --- pointer -------------------------------------------------------------------------------------------------
  const fingers = new Map();
  let drag = null, moved = false;
  const spread = () => { const [a, b] = [...fingers.values()]; return Math.hypot(a.x - b.x, a.y - b.y); };
  board.addEventListener("pointerdown", (event) => {
    moved = false;
    if (event.pointerType === "touch") fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    else if (event.button === 0 && event.target !== board) drag = { x: event.clientX, y: event.clientY };
  });
  board.addEventListener("pointermove", (event) => {
    if (fingers.has(event.pointerId)) {
      const before = fingers.size === 2 ? spread() : 0;
      fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
      if (before) {
        const [a, b] = [...fingers.values()];
        moved = true;
        zoom(spread() / before, { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 });
      }
    } else if (drag) {
      if (!moved && Math.hypot(event.clientX - drag.x, event.clientY - drag.y) < 5) return;
      if (!moved) board.setPointerCapture(event.pointerId);
      moved = true;
      board.classList.add("moving");
      board.scrollLeft -= event.clientX - drag.x;
      board.scrollTop -= event.clientY - drag.y;
      drag = { x: event.clientX, y: event.clientY };
    } else if (event.pointerType === "mouse") {
      const hit = hitAt(...mmOf(event), 5 / scale), name = nameOf(hit);
      board.classList.toggle("over", Boolean(hit && (name || hit[3])));
      const over = marks.querySelector(".hover")?.dataset.name || "";
      if (name === over) return;
      for (const each of marks.querySelectorAll(".hover")) each.remove();
      if (name) draw(name, "hover");
      el("under").textContent = name ? `${name}  ${netdsl.thing(name).kind}  ${netdsl.thing(name).title || ""}` : "";
    }
  });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) {
    board.addEventListener(end, (event) => {
      fingers.delete(event.pointerId);
      drag = null;
      board.classList.remove("moving");
    });
  }
  board.addEventListener("click", (event) => {
    if (moved) return;
    const hit = hitAt(...mmOf(event), (event.pointerType === "touch" ? 16 : 6) / scale), name = nameOf(hit);
    if (name) netdsl.choose(name, { leads: hit[3] });
    else if (hit && hit[3]) netdsl.go(hit[3]);
  });
  board.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && !event.metaKey) return;
    event.preventDefault();
    zoom(Math.exp(-event.deltaY / 300), { x: event.clientX, y: event.clientY });
  }, { passive: false });
  new ResizeObserver(fitAgain).observe(board);

  return { show, mark, toMarks, names, zoom, whole, trueSize, fitAgain };
})();
