// The tools on the cover: household clock, faults, more members.

import { post } from "./api.js";
import { make } from "./entry.js";

const at = (id) => document.getElementById(id);

const kinds = {
  "server-error": "Server errors",
  "rate-limit": "Rate limit",
  "answer-lost": "Answers lost after acceptance",
  twice: "Updates delivered twice",
};

let rest = "";

// report shows a sentence about the whole page.
export function report(sentence) {
  at("said").textContent = sentence;
}

async function attempt(errorAt, request) {
  at(errorAt).textContent = "";
  try {
    return await request();
  } catch (refusal) {
    at(errorAt).textContent = refusal.message;
    return null;
  }
}

async function move(body) {
  report("The clock is moving; the bot is catching up…");
  const moved = await attempt("clock-error", () => post("clock", body));
  if (moved) at("at").value = moved.now;
  report(moved ? `Household time is now ${moved.shown}. ${moved.remark ?? ""}`.trim() : "");
}

export function wireTools(added) {
  for (const button of document.querySelectorAll("[data-advance]")) {
    button.addEventListener("click", () => move({ advance: button.dataset.advance }));
  }
  at("rest-end").addEventListener("click", () => move({ to: "rest-end" }));
  at("clock-form").addEventListener("submit", (event) => {
    event.preventDefault();
    if (!at("at").value) {
      at("clock-error").textContent = "Write a date and a time first.";
      at("at").focus();
      return;
    }
    move({ at: at("at").value });
  });
  at("clock-tools").addEventListener("toggle", () => {
    if (at("clock-tools").open && !at("at").value) at("at").value = at("now").dateTime;
  });
  at("person-form").addEventListener("submit", async (event) => {
    event.preventDefault();
    const person = await attempt("person-error", () => post("person", { name: at("name").value, language: at("language").value }));
    if (!person) return at("name").focus();
    at("name").value = "";
    at("person-tools").open = false;
    added(person.view);
  });
}

const rows = new Map();

function faultRow(kind) {
  const box = make("input", { type: "checkbox", role: "switch", id: `fault-${kind}` });
  const count = make("input", { type: "number", min: "1", max: "1000", inputMode: "numeric", id: `count-${kind}` });
  const left = make("span", { className: "faint" });
  const times = make("label", { htmlFor: count.id }, "times");
  const set = (on) => attempt("fault-error", async () => {
    const n = count.value.trim() === "" ? 0 : Number(count.value);
    if (!Number.isInteger(n) || n < 0 || !count.validity.valid) throw new Error("A fault happens 1 to 1000 times; leave it empty for no limit.");
    await post("fault", { kind, on, count: on ? n : 0 });
  });
  box.addEventListener("change", async () => { if ((await set(box.checked)) === null) box.checked = !box.checked; });
  count.addEventListener("change", () => { if (box.checked) set(true); });
  at("faults").append(make("li", {}, make("label", { htmlFor: box.id }, box, kinds[kind] ?? kind), count, times, left));
  return { box, left };
}

// showTools takes in the part of the state that is on the cover.
export function showTools(state) {
  document.title = `Rehearsal${state.community ? `: ${state.community}` : ""}`;
  at("community").textContent = state.community;
  at("now").textContent = state.clock.shown;
  at("now").dateTime = state.clock.now;
  at("place").textContent = state.place;
  at("zone").textContent = `(${state.clock.zone})`;
  at("at").min = state.clock.now;
  if (state.clock.rest && state.clock.rest !== rest) {
    rest = state.clock.rest;
    at("rest-end").textContent = `To the end of the rest span, ${rest}`;
  }
  at("rest-end").hidden = !state.clock.rest;

  let on = 0;
  for (const fault of state.faults) {
    const row = rows.get(fault.kind) ?? rows.set(fault.kind, faultRow(fault.kind)).get(fault.kind);
    row.box.checked = fault.on;
    row.left.textContent = fault.on ? (fault.left ? `on, ${fault.left} to come` : "on until switched off") : "off";
    if (fault.on) on++;
  }
  at("faults-on").textContent = on ? ` (${on} on)` : "";
  at("waiting").textContent = state.waiting === 1
    ? "1 update waits for the bot." : `${state.waiting} updates wait for the bot.`;
}
