"use strict";
// What all parts of the page share: elements made without markup, data loaded by name, what is shown at present.
// Texts of the plant go into the page as text nodes and attributes alone.
const netdsl = {
  state: null, // the last state: sheets, findings, things
  key: "", // of the sheet that is shown
  chosen: "", // the designation that is chosen, or ""
  marked: { names: [], as: "chosen" },
  live: document.documentElement.hasAttribute("data-live"),
  taken: new Map(), // name of what was loaded -> what waits for it
};

netdsl.el = (id) => document.getElementById(id);

/** An element with attributes and children; a child that is a string becomes text. */
netdsl.make = (tag, attributes = {}, ...children) => {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name === "click") made.addEventListener("click", value);
    else if (value !== false && value !== undefined) made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...children);
  return made;
};

/** A designation as it is written, whatever direction its letters have. */
netdsl.name = (text) => netdsl.make("bdi", {}, text);

/** What the desk has under a name: asked for where it runs, else from the script of that name beside the page. */
netdsl.load = async (name, version = "") => {
  if (netdsl.live) {
    const answer = await fetch(`${name}.json?${version}`);
    if (!answer.ok) throw new Error(`${name}: ${answer.status}`);
    return answer.json();
  }
  return new Promise((resolve, reject) => {
    netdsl.taken.set(name, resolve);
    const script = netdsl.make("script", { src: `${name}.js` });
    script.addEventListener("error", () => reject(new Error(`${name} is missing`)));
    script.addEventListener("load", () => script.remove());
    document.head.append(script);
  });
};

/** What a script with data calls. */
netdsl.take = (name, data) => netdsl.taken.get(name)?.(data);

netdsl.page = () => netdsl.state.pages.find((page) => page.key === netdsl.key);
netdsl.thing = (name) => (Object.hasOwn(netdsl.state.things, name) ? netdsl.state.things[name] : undefined);

/** The designation that the name of something drawn belongs to, or "". */
netdsl.called = (name) => {
  if (netdsl.thing(name)) return name;
  return Object.hasOwn(netdsl.state.called, name) ? netdsl.state.called[name] : "";
};

/** On a phone one part of the page is shown at a time. */
netdsl.pane = (name) => {
  document.body.dataset.pane = name;
  for (const button of document.querySelectorAll("#panes button")) button.setAttribute("aria-pressed", String(button.dataset.to === name));
  if (name === "drawing") netdsl.paper.fitAgain();
};
netdsl.narrow = () => matchMedia("(max-width: 800px)").matches;

/** `items` as children of `list`, `step` of them at a time. */
netdsl.fill = (list, items, make, step = 200) => {
  list.replaceChildren();
  const more = (from) => {
    list.append(...items.slice(from, from + step).map(make));
    const left = items.length - from - step;
    if (left <= 0) return;
    const button = netdsl.make("button", { type: "button", click: () => { row.remove(); more(from + step); } }, `${left} more`);
    const row = netdsl.make("li", {}, button);
    list.append(row);
  };
  more(0);
};
