"use strict";
// The list of sheets, the search over sheets and designations, and the findings.
netdsl.lists = (() => {
  const { el, make, name } = netdsl;
  const find = el("find"), found = el("found"), list = el("list");
  let redrawn = new Set();

  const sheetLink = (page) => {
    const about = page.about || page.part_of;
    const attributes = { href: `#${page.key}`, class: redrawn.has(page.key) ? "redrawn" : false, "aria-current": page.key === netdsl.key ? "page" : false };
    return make("li", {}, make("a", attributes, make("b", {}, page.number), " ", page.title, ...(about ? [make("small", {}, name(about))] : [])));
  };
  const sheets = (changed) => {
    redrawn = changed || redrawn;
    const place = el("sheets").scrollTop, groups = [];
    for (const page of netdsl.state.pages) {
      if (groups.at(-1)?.kind !== page.kind) groups.push({ kind: page.kind, pages: [] });
      groups.at(-1).pages.push(page);
    }
    list.replaceChildren(...groups.flatMap((group) => [make("h2", {}, group.kind), make("ul", {}, ...group.pages.map(sheetLink))]));
    el("sheets").scrollTop = place;
  };
  const current = () => {
    for (const link of list.querySelectorAll("a")) {
      if (link.hash.slice(1) === netdsl.key) { link.setAttribute("aria-current", "page"); link.scrollIntoView({ block: "nearest" }); }
      else link.removeAttribute("aria-current");
    }
  };

  // --- search --------------------------------------------------------------------------------------------------
  const bare = (text) => text.toLowerCase().replace(/[\s=+\-.:]/g, "");
  const rank = (key, title, words, plain) => {
    const low = key.toLowerCase();
    if (low === words) return 0;
    if (bare(key) === plain) return 1;
    if (low.startsWith(words)) return 2;
    if (plain && bare(key).startsWith(plain)) return 3;
    if (low.includes(words)) return 4;
    return title.toLowerCase().includes(words) || (plain.length > 1 && bare(key).includes(plain)) ? 5 : 9;
  };
  const search = () => {
    const words = find.value.trim().toLowerCase().replace(/\s+/g, " ");
    found.hidden = !words;
    list.hidden = Boolean(words);
    el("found-count").textContent = "";
    if (!words || !netdsl.state) return;
    const plain = bare(words), results = [];
    for (const [key, thing] of Object.entries(netdsl.state.things)) {
      const at = rank(key, thing.title || "", words, plain);
      if (at < 9) results.push({ at, key, thing });
    }
    // a stable sort: of equals the order of the plant, devices before terminals before conductors
    results.sort((a, b) => a.at - b.at);
    const pages = netdsl.state.pages.filter((page) => `${page.number} ${page.title} ${page.part_of} ${page.about}`.toLowerCase().includes(words));
    el("found-count").textContent = `${results.length} designation${results.length === 1 ? "" : "s"}, ${pages.length} sheet${pages.length === 1 ? "" : "s"}`;
    const rows = [...results.slice(0, 3), ...pages.map((page) => ({ page })), ...results.slice(3)];
    if (pages.length > 5) rows.splice(0, rows.length, ...results, ...pages.map((page) => ({ page })));
    netdsl.fill(found, rows, (row) => {
      if (row.page) return sheetLink(row.page);
      const take = () => netdsl.choose(row.key, { go: true });
      const said = `${row.thing.kind}${row.thing.title ? `, ${row.thing.title}` : ""}`;
      return make("li", {}, make("button", { type: "button", click: take }, name(row.key), make("small", {}, said)));
    }, 100);
  };
  find.addEventListener("input", search);
  find.addEventListener("keydown", (event) => {
    if (event.key === "Enter") found.querySelector("a, button")?.click();
    else if (event.key === "ArrowDown") { event.preventDefault(); found.querySelector("a, button")?.focus(); }
  });
  found.addEventListener("keydown", (event) => {
    if (event.key !== "ArrowDown" && event.key !== "ArrowUp") return;
    event.preventDefault();
    const all = [...found.querySelectorAll("a, button")], at = all.indexOf(document.activeElement);
    (event.key === "ArrowUp" && at <= 0 ? find : all[Math.min(at + (event.key === "ArrowDown" ? 1 : -1), all.length - 1)]).focus();
  });
  const clear = () => { find.value = ""; search(); };

  // --- findings ------------------------------------------------------------------------------------------------
  const isHere = (finding) => {
    const at = netdsl.state.pages.findIndex((page) => page.key === netdsl.key);
    return finding.about.some((each) => netdsl.thing(each)?.sheets?.includes(at));
  };
  const findings = () => {
    const all = netdsl.state.findings, severity = el("severity").value, here = el("here").checked;
    const wanted = all.filter((each) => (!severity || each.severity === severity) && (!here || isHere(each)));
    const number = (word) => all.filter((each) => each.severity === word).length;
    const counts = ["error", "warning", "note", "allowed"].filter(number).map((word) => `${number(word)} ${word}${word === "allowed" || number(word) === 1 ? "" : "s"}`);
    el("findings-name").textContent = `Findings: ${counts.join(", ") || "none"}`;
    netdsl.fill(el("findings-list"), wanted, (each) => {
      const [file, line] = each.lines, at = `${netdsl.state.texts[file].path}:${line}`;
      const row = make("button", { type: "button", click: () => netdsl.showFinding(each) }, make("b", {}, each.severity), ` ${each.message}`, make("small", {}, name(at)));
      return make("li", { class: each.severity }, row);
    });
    if (!wanted.length && all.length) el("findings-list").append(make("li", {}, "none of these"));
  };
  el("severity").addEventListener("change", findings);
  el("here").addEventListener("change", findings);

  /** What stands on the sheet, to be chosen without a pointer. */
  const things = () => {
    const here = netdsl.paper.names();
    el("things-count").textContent = `On this sheet: ${here.length}`;
    netdsl.fill(el("things-list"), here, (each) => {
      const thing = netdsl.thing(each);
      return make("li", {}, make("button", { type: "button", click: () => netdsl.choose(each) }, name(each), make("small", {}, `${thing.kind}${thing.title ? `, ${thing.title}` : ""}`)));
    });
  };
  return { sheets, current, search, clear, findings, things };
})();
