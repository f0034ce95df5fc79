"use strict";
// The page as a whole: which sheet is shown, keys, its look, and following the text while the desk runs.
(() => {
  const { el } = netdsl;

  // --- which sheet ---------------------------------------------------------------------------------------------
  const missing = (words) => {
    el("gone").textContent = words;
    el("gone").hidden = !words;
    el("board").classList.toggle("old", Boolean(words) || netdsl.state.old);
  };
  const titled = (page) => {
    el("sheet-title").replaceChildren(`${page.number}  ${page.title}${page.part_of ? ", " : ""}`, netdsl.name(page.part_of));
    const at = netdsl.state.pages.indexOf(page);
    el("before").disabled = at <= 0;
    el("after").disabled = at >= netdsl.state.pages.length - 1;
  };
  /** Show a sheet; with `keep` the marks stay, else they go. */
  netdsl.go = async (key, { keep = false } = {}) => {
    const page = netdsl.state.pages.find((each) => each.key === key);
    if (!page) return false;
    netdsl.key = key;
    if (!keep) netdsl.note();
    titled(page);
    netdsl.lists.current();
    try {
      if (!(await netdsl.paper.show(page))) return false;
      missing("");
    } catch {
      missing(`sheet ${page.number} cannot be loaded now`);
    }
    netdsl.paper.mark();
    netdsl.lists.things();
    if (el("here").checked) netdsl.lists.findings();
    return true;
  };
  /** Put what is shown into the address, so that it can be gone back to and handed on. */
  netdsl.note = () => {
    const wanted = `#${netdsl.key}${netdsl.chosen ? `~${encodeURIComponent(netdsl.chosen)}` : ""}`;
    if (location.hash !== wanted) history.pushState(null, "", wanted);
  };
  const fromAddress = async () => {
    const [key, chosen] = location.hash.slice(1).split("~");
    if (key === "board") return;
    let name = "";
    try { name = decodeURIComponent(chosen || ""); } catch { /* an address that was cut off */ }
    if (key !== netdsl.key || !netdsl.page()) await netdsl.go(netdsl.state.pages.some((page) => page.key === key) ? key : netdsl.state.pages[0]?.key, { keep: true });
    if (name && netdsl.thing(name)) {
      await netdsl.choose(name, { quiet: true });
      netdsl.paper.toMarks(netdsl.paper.mark());
    }
    if (netdsl.narrow()) netdsl.pane("drawing");
  };
  window.addEventListener("hashchange", fromAddress);
  const step = (by) => {
    const { pages } = netdsl.state, at = pages.findIndex((page) => page.key === netdsl.key);
    const next = pages[at < 0 ? 0 : Math.min(Math.max(at + by, 0), pages.length - 1)];
    if (!next) return;
    netdsl.go(next.key);
    el("board").focus({ preventScroll: true }); // so that arrows move it
  };

  // --- a new state ---------------------------------------------------------------------------------------------
  const take = async (state) => {
    const before = netdsl.state;
    const versions = new Map((before?.pages || []).map((page) => [page.key, page.version]));
    const redrawn = new Set(before && !state.old ? state.pages.filter((page) => versions.get(page.key) !== page.version).map((page) => page.key) : []);
    netdsl.state = state;
    netdsl.forgetTexts();
    el("title").replaceChildren(netdsl.name(state.title));
    document.title = state.title;
    el("trouble").textContent = `${state.old && state.pages.length ? "These sheets are old: " : ""}${state.trouble}`;
    el("trouble").hidden = !state.trouble;
    netdsl.lists.sheets(redrawn);
    netdsl.lists.findings();
    netdsl.lists.search();
    if (!before) {
      await fromAddress();
      return redrawn;
    }
    const page = netdsl.page();
    if (!page && netdsl.key) missing("this sheet is not in the set any more: what you see is its last state");
    else if (page) {
      titled(page);
      missing("");
      if (redrawn.has(page.key)) await netdsl.go(page.key, { keep: true });
    } else await fromAddress();
    await netdsl.chooseAgain();
    netdsl.lists.things();
    return redrawn;
  };
  const told = (redrawn) => {
    const numbers = netdsl.state.pages.filter((page) => redrawn.has(page.key)).map((page) => page.number);
    const many = numbers.length > 6 ? `${numbers.slice(0, 6).join(", ")} and ${numbers.length - 6} more` : numbers.join(", ");
    el("following").textContent = numbers.length ? `follows the text; redrawn: ${many}` : "follows the text";
  };
  let asking = null, wanted = 0;
  /** Ask for the state `number`, one at a time; where another is told of meanwhile, that one after it. */
  const follow = async (number) => {
    wanted = number;
    if (asking) return;
    asking = true;
    try {
      while (netdsl.state?.number !== wanted) {
        const number_ = wanted, state = await netdsl.load("state", number_);
        told(await take(state));
        if (state.number !== number_) wanted = state.number;
      }
      if (el("following").textContent.startsWith("not")) told(new Set());
    } catch {
      el("following").textContent = "not connected: what you see may be old";
    } finally { asking = null; }
  };

  // --- keys and buttons ----------------------------------------------------------------------------------------
  const showFirst = (id, pane, target) => { if (netdsl.narrow()) netdsl.pane(pane); el(id).scrollIntoView({ block: "nearest" }); (target || el(id)).focus(); };
  const keys = {
    "/": () => { if (netdsl.narrow()) netdsl.pane("sheets"); el("find").focus(); el("find").select(); },
    n: () => step(1),
    p: () => step(-1),
    "+": () => netdsl.paper.zoom(1.25),
    "=": () => netdsl.paper.zoom(1.25),
    "-": () => netdsl.paper.zoom(0.8),
    0: netdsl.paper.whole,
    1: netdsl.paper.trueSize,
    t: () => { document.querySelector("#things details").open = true; showFirst("things", "chosen", el("things-count")); },
    f: () => showFirst("findings", "findings", el("findings-list").querySelector("button") || el("severity")),
    "?": () => el("keys").showModal(),
  };
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || el("keys").open) return;
    if (event.key === "Escape") { netdsl.lists.clear(); netdsl.nothing(); if (netdsl.key) netdsl.note(); return; }
    if (event.target.matches?.("input, select, textarea")) return;
    const act = Object.hasOwn(keys, event.key) ? keys[event.key] : null;
    if (act) { event.preventDefault(); act(); }
  });
  const press = { before: () => step(-1), after: () => step(1), smaller: keys["-"], larger: keys["+"], whole: keys[0], "true-size": keys[1], print: () => window.print(), "keys-open": keys["?"] };
  for (const [id, act] of Object.entries(press)) el(id).addEventListener("click", act);
  for (const button of document.querySelectorAll("#panes button")) button.addEventListener("click", () => netdsl.pane(button.dataset.to));
  el("list").addEventListener("click", (event) => { if (netdsl.narrow() && event.target.closest("a")) netdsl.pane("drawing"); });

  // --- light and dark ------------------------------------------------------------------------------------------
  const LOOKS = ["system", "light", "dark"], dark = matchMedia("(prefers-color-scheme: dark)");
  let look = "system";
  try { look = LOOKS.find((each) => each === localStorage.getItem("netdsl-look")) || "system"; } catch { /* a file may not keep anything */ }
  const dress = () => {
    document.documentElement.dataset.look = look === "system" ? (dark.matches ? "dark" : "light") : look;
    el("look").textContent = `Look: ${look}`;
  };
  dark.addEventListener("change", dress);
  el("look").addEventListener("click", () => {
    look = LOOKS[(LOOKS.indexOf(look) + 1) % LOOKS.length];
    try { localStorage.setItem("netdsl-look", look); } catch { /* as above */ }
    dress();
  });
  dress();
  netdsl.pane("drawing");

  // --- begin ---------------------------------------------------------------------------------------------------
  if (netdsl.live) {
    const events = new EventSource("events");
    events.addEventListener("message", (event) => follow(Number(event.data)));
    events.addEventListener("error", () => { el("following").textContent = "not connected: what you see may be old"; });
  } else netdsl.load("state").then(take).catch(() => { el("trouble").hidden = false; el("trouble").textContent = "state.js is missing beside this page"; });
})();
