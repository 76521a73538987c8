// The hand and the eye of the test, in the page. Nothing here acts: it finds what a person would look for, says where it is,
// and waits, frame by frame, until it is there. The clicks and keys come from outside, as a person's do.
globalThis.hand = (() => {
  const patience = 15000; // milliseconds before something counts as missing

  const shown = (element) => element.checkVisibility();
  const view = (name) => [...document.querySelectorAll(".view")].find((v) => v.querySelector("h2").textContent === name && shown(v));
  const words = (element) => element.textContent.replace(/[\u2066-\u2069]/g, "").trim();
  const control = (where, says) =>
    [...(where?.querySelectorAll("button, summary, textarea") ?? [])].filter((e) => shown(e) && says(e)).at(-1);

  // until returns what found returns, once that is something; null when it never is.
  const until = async (found) => {
    const end = performance.now() + patience;
    for (;;) {
      const it = await found();
      if (it) return it;
      if (performance.now() > end) return null;
      await new Promise(requestAnimationFrame);
    }
  };

  // place is the middle of a control, once it has stood still for two whole frames with nothing over it.
  let [still, frames] = ["", 0];
  let aim = null;
  let hit = null;
  document.addEventListener("click", (event) => { hit = event.target; }, { capture: true });
  const place = (element) => {
    if (!element) return null;
    const box = element.getBoundingClientRect();
    const at = [box.x + box.width / 2, box.y + box.height / 2];
    const top = document.elementFromPoint(...at);
    if (!top || !element.contains(top)) {
      element.scrollIntoView({ block: "center" });
      still = "";
      return null;
    }
    frames = still === at.join() ? frames + 1 : 0;
    still = at.join();
    if (frames < 3) return null;
    [aim, hit, still] = [element, null, ""];
    return at;
  };

  // current reports whether every view, on the screen or not, shows what the rehearsal would tell a page that is opened now.
  const current = async () => {
    const state = await (await fetch("api/state?since=0&wait=0")).json();
    const told = state.views.map((v) => [v.label, v.note.text,
      ...v.entries.flatMap((e) => [...e.blocks.map((b) => b.runs.map((r) => r.text).join("")), ...e.rows.flat().map((k) => k.text)])]);
    const seen = [...document.querySelectorAll(".view")].map((v) => [v.querySelector("h2"), v.querySelector(".note"),
      ...v.querySelectorAll(".text > *, .keys button")].map((e) => e.textContent));
    return JSON.stringify(told) === JSON.stringify(seen);
  };

  const note = (name) => words(view(name)?.querySelector(".note") ?? document.createElement("p"));

  // pictures counts the pictures that a view shows whole.
  const pictures = (name) => [...(view(name)?.querySelectorAll(".photo img") ?? [])].filter((i) => i.complete && i.naturalWidth > 0).length;

  return {
    until, place, current, view, pictures,
    // missed says what was hit in the place of what was aimed at, or nothing.
    missed: () => (hit && aim.contains(hit) ? "" : `aimed at ${words(aim)} and hit ${hit?.outerHTML ?? "nothing"}`),
    // key is the newest button of the bot with this label.
    key: (name, label) => control(view(name), (e) => e.closest(".keys") && words(e) === label),
    // first is the first button of the newest entry that has any.
    first: (name) => [...(view(name)?.querySelectorAll(".keys") ?? [])].at(-1)?.querySelector("button"),
    tool: (label) => control(document.querySelector(".cover"), (e) => words(e).startsWith(label)),
    chooser: (name) => control(document.getElementById("chooser"), (e) => words(e).startsWith(name)),
    field: (name) => control(view(name), (e) => e.matches("textarea")),
    send: (name) => control(view(name), (e) => e.matches(".write button.main")),
    // reads is everything that a view's ledger says, one line a paragraph.
    reads: (name) => [...(view(name)?.querySelectorAll(".text > *") ?? [])].map(words).join("\n"),
    note,
    answered: (name, before) => note(name) !== before && !note(name).endsWith("; no answer from the bot yet."),
    error: (name) => words(view(name)?.querySelector(":scope > .error") ?? document.createElement("p")),
    // turned lists the paragraphs and buttons of the bot's newest entry in a view that do not run in the direction.
    turned: (name, direction) => [...([...(view(name)?.querySelectorAll(".bot") ?? [])].at(-1)?.querySelectorAll(".text > p, .keys button") ?? [])]
      .filter((e) => getComputedStyle(e).direction !== direction).map(words),
    // wide lists what reaches over the edge of the screen.
    wide: () => [...document.querySelectorAll("body *")].filter((e) => {
      if (!shown(e) || e.closest(".skips")) return false;
      const box = e.getBoundingClientRect();
      return box.right > document.documentElement.clientWidth + 1 || box.left < -1;
    }).map((e) => `${e.tagName} ${e.className}: ${words(e).slice(0, 60)}`),
  };
})();
