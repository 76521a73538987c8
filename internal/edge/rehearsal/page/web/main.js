// Follows the state of the rehearsal and spreads it over the page.

import { get } from "./api.js";
import { make } from "./entry.js";
import { report, showTools, wireTools } from "./tools.js";
import { View } from "./view.js";

const order = ["member", "rabbi", "office"];
const again = 1500; // milliseconds before the next try when the rehearsal does not answer

const views = new Map();
const shown = new Map(); // by role, the view that a wide screen shows
const buttons = new Map();
let chosen = null; // the view that a narrow screen shows
let wanted = null; // a view to choose as soon as it is there

const chooser = document.getElementById("chooser");

function choose(view, focus) {
  chosen = view;
  shown.set(view.role, view);
  for (const other of views.values()) {
    other.root.toggleAttribute("data-chosen", other === chosen);
    other.root.toggleAttribute("data-shown", shown.get(other.role) === other);
  }
  read();
  view.atEnd = true;
  view.toEnd();
  if (focus) view.title.focus();
}

// read marks what is on the screen as read and says on the chooser what is not.
function read() {
  for (const [key, view] of views) {
    if (view.visible) view.fresh = 0;
    const button = buttons.get(key);
    const name = `\u2068${view.label}\u2069`; // isolated: a Hebrew name must not turn the count around
    const text = view.fresh ? `${name} (${view.fresh} new)` : name;
    if (button.textContent !== text) button.textContent = text;
    button.setAttribute("aria-pressed", String(view.visible));
  }
  chooser.toggleAttribute("data-single", shown.size === views.size);
}

function add(state) {
  const view = new View(state);
  views.set(state.key, view);
  const place = order.indexOf(view.role);
  const next = [...views.values()].find((other) => order.indexOf(other.role) > place && other !== view && other.root.isConnected);
  document.getElementById("views").insertBefore(view.root, next?.root ?? null);
  const button = make("button", { type: "button", onclick: () => choose(view, false) });
  button.setAttribute("aria-controls", view.root.id);
  buttons.set(state.key, button);
  chooser.insertBefore(button, (next && buttons.get(next.key)) ?? null);
  return view;
}

// forget takes away the views that another process had and this one has not.
function forget(keys) {
  for (const [key, view] of views) {
    if (keys.has(key)) continue;
    view.root.remove();
    buttons.get(key).remove();
    views.delete(key);
    buttons.delete(key);
    if (shown.get(view.role) === view) shown.delete(view.role);
    if (chosen === view) chosen = null;
  }
}

function apply(state) {
  showTools(state);
  if (state.whole) forget(new Set(state.views.map((one) => one.key)));
  for (const one of state.views) {
    const view = views.get(one.key) ?? add(one);
    view.label = one.label;
    if (shown.has(view.role)) continue;
    shown.set(view.role, view);
    view.root.toggleAttribute("data-shown", true);
  }
  if (!chosen || wanted) {
    const view = views.get(wanted) ?? chosen ?? views.values().next().value;
    if (view !== chosen) choose(view, view.key === wanted);
    if (view.key === wanted) wanted = null;
  }
  for (const one of state.views) views.get(one.key).apply(one, state.whole);
  read();
}

async function follow() {
  let since = 0;
  let run = "";
  let lost = false;
  for (;;) {
    try {
      const state = await get(`api/state?since=${since}&run=${run}`);
      if (lost) report("The rehearsal answers again.");
      lost = false;
      ({ rev: since, run } = state);
      apply(state);
    } catch (refusal) {
      lost = true;
      report(refusal.message);
      await new Promise((done) => setTimeout(done, again));
    }
  }
}

document.getElementById("skip-write").addEventListener("click", (event) => {
  event.preventDefault();
  chosen?.text.focus();
});
document.getElementById("skip-views").addEventListener("click", (event) => {
  event.preventDefault();
  (buttons.get(chosen?.key)?.offsetParent ? buttons.get(chosen.key) : chosen?.title)?.focus();
});
window.addEventListener("resize", read);
wireTools((key) => { wanted = key; });
follow();
