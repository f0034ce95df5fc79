"use strict";
// What is chosen, or a finding: its lines of text, what is connected to it, the sheets that show it.
(() => {
  const { el, make, name } = netdsl;
  const AROUND = 2, LONGEST = 40; // lines shown before and behind, and of one place
  const texts = new Map(); // number of a text -> its lines, of this state

  netdsl.forgetTexts = () => texts.clear();
  const linesOf = (file) => {
    if (!texts.has(file)) texts.set(file, netdsl.load(netdsl.live ? `text/${file}` : `text-${file}`, netdsl.state.number).then((text) => text.split(/\r\n|\n|\r/)));
    return texts.get(file);
  };
  /** How a line is opened in an editor, as the person who started the desk has said; "" where nothing was. */
  const opening = (file, line, column) => {
    const { link, root, texts: listed } = netdsl.state;
    if (!link || listed[file].shipped) return "";
    const path = listed[file].path.split("/").map(encodeURIComponent).join("/");
    const folder = root.split("/").map(encodeURIComponent).join("/").replace(/^([A-Za-z])%3A/, "$1:");
    const values = { path: `${folder}/${path}`, file: path, line, column };
    return link.replace(/\{(path|file|line|column)\}/g, (_, word) => values[word]);
  };
  /** One place in a text: where, and the lines themselves. */
  const place = async ([file, line, column, last, words]) => {
    const path = netdsl.state.texts[file].path, href = opening(file, line, column);
    const where = make("p", { class: "place" }, make("strong", {}, name(`${path}:${line}`)), words || "");
    if (href) where.append(make("a", { href, class: "editor" }, "open in the editor"));
    let shown;
    try {
      const lines = await linesOf(file), end = Math.min(last, line + LONGEST - 1);
      shown = make("pre", { tabindex: "0", "aria-label": `${path}, line ${line}` });
      for (let number = Math.max(line - AROUND, 1); number <= Math.min(end + AROUND, lines.length); number += 1) {
        shown.append(make("span", { class: number >= line && number <= end ? "made" : false }, make("i", {}, String(number)), lines[number - 1] || " "));
      }
    } catch {
      shown = make("p", { class: "quiet" }, "the text cannot be read now");
    }
    return [where, shown];
  };
  const places = async (lines) => (await Promise.all(lines.map(place))).flat();
  const few = (title, items, make_) => {
    if (!items.length) return [];
    const row = make("div", { class: "few" }, ...items.slice(0, 60).map(make_));
    if (items.length > 60) row.append(`and ${items.length - 60} more`);
    return items.length > 12 ? [make("details", {}, make("summary", {}, `${title}: ${items.length}`), row)] : [make("h3", {}, title), row];
  };
  const button = (each) => make("button", { type: "button", click: () => netdsl.choose(each, { go: true }) }, name(each));
  const toSheet = (number, names) => {
    const page = netdsl.state.pages[number];
    return make("a", { href: `#${page.key}~${encodeURIComponent(names)}`, title: page.title }, `${page.number} ${page.title}`);
  };
  /** The sheets that show something: the present one where it is among them, else the first. */
  const best = (sheets) => {
    const here = netdsl.state.pages.findIndex((page) => page.key === netdsl.key);
    return sheets.includes(here) ? here : sheets[0];
  };
  let asked = 0;
  const fill = async (title, make_) => {
    const mine = (asked += 1), body = await make_();
    if (mine !== asked) return; // another was chosen meanwhile
    el("chosen-name").replaceChildren(...title);
    el("chosen-body").replaceChildren(...body);
  };

  const describe = (key, leads) => {
    const thing = netdsl.thing(key), near = (thing.near || []).filter((each) => netdsl.thing(each)), sheets = thing.sheets || [];
    const own = near.filter((each) => each.startsWith(`${key}:`)), others = near.filter((each) => !own.includes(each));
    const concerns = netdsl.state.findings.filter((each) => each.about.some((about) => about === key || about.split(":")[0] === key));
    return fill([name(key)], async () => [
      make("p", { class: "quiet" }, `${thing.kind}${thing.title ? `, ${thing.title}` : ""}`),
      ...(await places(thing.lines || [])),
      ...(thing.lines ? [] : [make("p", { class: "quiet" }, "what was read last has no line for it")]),
      ...(leads ? [make("p", {}, make("a", { href: `#${leads}` }, "go to the sheet that it refers to"))] : []),
      ...few("Findings about it", concerns, (each) => make("button", { type: "button", click: () => netdsl.showFinding(each) }, `${each.severity}: ${each.rule}`)),
      ...few("Connected to it", others, button),
      ...few("Its terminals", own, button),
      ...few("On sheets", sheets, (number) => toSheet(number, key)),
    ]);
  };

  /** Choose a designation: its lines are shown and it is marked; with `go`, on a sheet that shows it. */
  netdsl.choose = async (key, { go = false, leads = "", quiet = false } = {}) => {
    const thing = netdsl.thing(key);
    if (!thing) return;
    netdsl.chosen = key;
    netdsl.finding = null;
    netdsl.marked = { names: [key], as: "chosen" };
    // before anything is brought into sight: what is not shown has no size
    if (netdsl.narrow() && !quiet) netdsl.pane(go && thing.sheets ? "drawing" : "chosen");
    const at = go && thing.sheets ? netdsl.state.pages[best(thing.sheets)] : null;
    if (at && at.key !== netdsl.key) await netdsl.go(at.key, { keep: true });
    const found = netdsl.paper.mark();
    if (go) netdsl.paper.toMarks(found);
    if (netdsl.key) netdsl.note();
    await describe(key, leads);
  };

  /** Show a finding: what it says and asks for, its lines, its subjects marked on a sheet that shows the most of them. */
  netdsl.showFinding = async (finding, { quiet = false } = {}) => {
    netdsl.chosen = "";
    netdsl.finding = finding;
    // a device and one of its terminals: what is meant is the terminal
    const meant = finding.about.filter((each) => !finding.about.some((other) => other.startsWith(`${each}:`)));
    netdsl.marked = { names: meant, as: "finding" };
    if (!quiet) {
      const votes = new Map();
      for (const about of meant) for (const number of netdsl.thing(about)?.sheets || []) votes.set(number, (votes.get(number) || 0) + 1);
      const most = Math.max(0, ...votes.values()), sheets = [...votes.keys()].filter((number) => votes.get(number) === most);
      if (netdsl.narrow()) netdsl.pane(sheets.length ? "drawing" : "chosen");
      if (sheets.length) {
        const page = netdsl.state.pages[best(sheets)];
        if (page.key !== netdsl.key) await netdsl.go(page.key, { keep: true });
      }
    }
    const found = netdsl.paper.mark();
    if (!quiet) netdsl.paper.toMarks(found);
    await fill([`${finding.severity}: `, finding.rule], async () => [
      make("p", {}, finding.message),
      ...(finding.remedy && !finding.reason ? [make("p", {}, make("strong", {}, "Remedy: "), finding.remedy)] : []),
      ...(finding.reason ? [make("p", {}, make("strong", {}, "Allowed: "), finding.reason)] : []),
      ...(finding.source ? [make("p", { class: "quiet" }, finding.source)] : []),
      ...(found.length ? [] : [make("p", { class: "quiet" }, "no sheet shows what it is about")]),
      ...(await places([finding.lines, ...finding.related])),
      ...few("About", finding.about, button),
    ]);
  };

  netdsl.nothing = () => {
    asked += 1;
    netdsl.chosen = "";
    netdsl.finding = null;
    netdsl.marked = { names: [], as: "chosen" };
    netdsl.paper.mark();
    el("chosen-name").textContent = "In the text";
    el("chosen-body").replaceChildren(make("p", { class: "quiet" }, "Nothing is chosen."));
  };
  /** What is chosen, told anew after the text changed. */
  netdsl.chooseAgain = async () => {
    if (netdsl.finding) {
      const alike = (each) => each.rule === netdsl.finding.rule && each.about.join() === netdsl.finding.about.join();
      const again = netdsl.state.findings.find(alike);
      if (again) await netdsl.showFinding(again, { quiet: true });
      else netdsl.nothing();
    } else if (netdsl.chosen && netdsl.thing(netdsl.chosen)) {
      netdsl.paper.mark();
      await describe(netdsl.chosen, "");
    } else if (netdsl.chosen) netdsl.nothing();
  };
})();
