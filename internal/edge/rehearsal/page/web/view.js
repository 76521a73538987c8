// One person's view: the ledger, the line under it, and what the person can do. The parts in which somebody types are
// made once and never made again.

import { post, upload } from "./api.js";
import { line } from "./entry.js";

const roles = { member: "Member", rabbi: "Rabbi", office: "Office" };
const files = {
  photo: "image/jpeg,image/png,image/gif,image/webp",
  voice: "audio/*,.ogg,.oga,.opus",
  document: "",
};
const near = 48; // this many pixels from the end still count as reading the end

let made = 0;

export class View {
  constructor(state) {
    this.key = state.key;
    this.role = state.role;
    this.items = new Map();
    this.seen = 0;
    this.fresh = 0;
    this.noted = -1;
    this.answering = null;
    this.root = document.getElementById("view").content.firstElementChild.cloneNode(true);
    const part = (selector) => this.root.querySelector(selector);
    this.title = part("h2");
    this.roleLine = part(".role");
    this.stopButton = part(".stop");
    this.ledger = part(".ledger");
    this.list = part("ol");
    this.note = part(".note");
    this.error = part(".error");
    this.text = part("textarea");
    this.answeringLine = part(".answering");
    this.name(state);
    this.wire(part);
    this.follow();
    this.act = {
      press: (message, key) => this.try(() => post("press", { view: this.key, message, data: key.data, label: key.text.slice(0, 64) })),
      start: (payload) => this.try(() => post("say", { view: this.key, start: payload })),
      say: (text) => this.try(() => post("say", { view: this.key, text })),
      answer: (e) => this.answer(e),
      jump: (id) => this.jump(id),
      nothing: (text) => this.fail(`The button “${text}” leads nowhere on this page.`),
      settled: () => { if (this.atEnd) this.toEnd(); },
    };
  }

  // name gives every field its label and every part its place in the page's outline.
  name(state) {
    const id = `v${++made}`;
    const tie = (label, field, name) => {
      const [l, f] = [this.root.querySelector(label), this.root.querySelector(field)];
      f.id = `${id}-${name}`;
      l.htmlFor = f.id;
    };
    this.root.id = id;
    this.title.id = `${id}-title`;
    this.title.tabIndex = -1;
    this.root.setAttribute("aria-labelledby", this.title.id);
    tie(".write > label", "textarea", "text");
    tie(".start label", ".start input", "start");
    tie(".for-file", "input[type=file]", "file");
    tie(".for-caption", ".caption", "caption");
    tie(".for-seconds", ".seconds", "seconds");
    for (const radio of this.root.querySelectorAll("input[type=radio]")) radio.name = `${id}-kind`;
    const hint = this.root.querySelector(".hint");
    hint.id = `${id}-hint`;
    this.error.id = `${id}-error`;
    this.text.setAttribute("aria-describedby", `${hint.id} ${this.error.id}`);
    this.root.querySelector(".write > label").textContent = `Write as ${state.label}`;
    this.ledger.setAttribute("aria-label", `Entries of ${state.label}`);
  }

  wire(part) {
    part(".write").addEventListener("submit", (event) => { event.preventDefault(); this.send(); });
    this.text.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && !event.shiftKey && !event.isComposing) { event.preventDefault(); this.send(); }
      if (event.key === "Escape" && this.answering) { event.preventDefault(); this.answer(null); }
    });
    part(".answering button").addEventListener("click", () => { this.answer(null); this.text.focus(); });
    this.stopButton.addEventListener("click", () => this.try(() => post(this.stopped ? "unblock" : "block", { view: this.key })));
    part(".start").addEventListener("submit", (event) => {
      event.preventDefault();
      const field = part(".start input");
      const link = field.value.trim();
      this.try(async () => {
        await post("say", link ? { view: this.key, start: link } : { view: this.key, text: "/start" });
        field.value = "";
        part(".opening").open = false;
        this.text.focus();
      });
    });
    this.wireFiles(part);
  }

  // follow keeps the end in sight when it was, however the ledger's height changes.
  follow() {
    this.atEnd = true;
    const look = () => { if (this.visible) this.atEnd = this.readsEnd(); };
    this.ledger.addEventListener("scroll", look, { passive: true });
    window.addEventListener("scroll", look, { passive: true });
    new ResizeObserver(() => { if (this.atEnd) this.toEnd(); }).observe(this.ledger);
  }

  wireFiles(part) {
    const form = part(".attach");
    const kind = () => form.querySelector("input[type=radio]:checked").value;
    const [file, caption, seconds] = [part("input[type=file]"), part(".caption"), part(".seconds")];
    form.addEventListener("change", () => {
      const voice = kind() === "voice";
      file.accept = files[kind()];
      caption.hidden = part(".for-caption").hidden = voice;
      seconds.hidden = part(".for-seconds").hidden = !voice;
    });
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      if (!file.files.length) { this.fail("Choose a file first."); file.focus(); return; }
      const body = new FormData();
      body.set("view", this.key);
      if (kind() === "voice") body.set("seconds", seconds.value);
      else body.set("caption", caption.value);
      body.set("file", file.files[0]);
      this.try(async () => {
        await upload(kind(), body);
        file.value = caption.value = seconds.value = "";
        part(".attaching").open = false;
        this.text.focus();
      });
    });
  }

  fail(sentence) {
    this.error.textContent = sentence;
  }

  // try runs one request and shows its refusal; it reports whether it worked.
  async try(request) {
    this.fail("");
    try {
      await request();
      return true;
    } catch (refusal) {
      this.fail(refusal.message);
      return false;
    }
  }

  async send() {
    const text = this.text.value;
    const replyTo = this.answering ?? 0;
    if (this.sending) return;
    this.sending = true;
    this.atEnd = true;
    this.text.value = ""; // at once, so that what is typed meanwhile is the next message
    const sent = await this.try(() => post("say", { view: this.key, text, replyTo }));
    this.sending = false;
    if (sent) this.answer(null);
    else if (this.text.value.trim() === "") this.text.value = text;
  }

  // answer chooses the entry that the next message answers; null chooses none.
  answer(e) {
    this.items.get(this.answering)?.classList.remove("answered");
    this.answering = e ? e.id : null;
    this.answeringLine.hidden = !e;
    if (!e) return;
    const words = e.blocks.flatMap((block) => block.runs).map((piece) => piece.text).join(" ");
    this.answeringLine.firstElementChild.textContent =
      `Answering entry ${e.no}${words ? `: \u2068${words.slice(0, 40)}${words.length > 40 ? "…" : ""}\u2069` : ""}`;
    this.items.get(e.id)?.classList.add("answered");
    this.text.focus();
  }

  jump(id) {
    const item = this.items.get(id);
    item?.focus();
    item?.scrollIntoView({ block: "nearest" });
  }

  // visible reports whether the view is on the screen at this width.
  get visible() {
    return this.root.offsetParent !== null;
  }

  readsEnd() {
    if (!this.visible) return true;
    const box = this.ledger;
    if (box.scrollHeight > box.clientHeight + 1) return box.scrollTop + box.clientHeight >= box.scrollHeight - near;
    return window.innerHeight + window.scrollY >= document.documentElement.scrollHeight - near;
  }

  toEnd() {
    if (!this.visible) return;
    this.ledger.scrollTop = this.ledger.scrollHeight;
    // Where the page itself scrolls, it stays put while somebody works at its top or with the forms at its end.
    const page = getComputedStyle(this.ledger).overflowY === "visible";
    if (page && !document.activeElement?.closest(".extras, .cover")) this.root.scrollIntoView({ block: "end" });
  }

  // apply takes in the state of the view: its heading, and the entries that changed.
  apply(state, whole) {
    this.label = state.label;
    this.title.textContent = state.label;
    this.roleLine.textContent = [roles[state.role], state.private ? "" : "group"].filter((word) => word && word !== state.label).join(", ");
    this.stopped = state.stopped;
    this.stopButton.hidden = !state.private;
    this.stopButton.textContent = state.stopped ? "Allow the bot" : "Stop the bot";
    this.root.querySelector(".write > label").textContent = `Write as ${state.label}${state.stopped ? " (has stopped the bot)" : ""}`;
    if (state.note.n !== this.noted) {
      this.noted = state.note.n;
      this.note.textContent = state.note.text;
      this.note.dir = "auto";
      this.note.classList.toggle("alert", Boolean(state.note.alert));
    }
    if (whole) {
      this.list.replaceChildren();
      this.items.clear();
    }
    if (!state.entries.length) return;
    for (const e of state.entries) this.put(e);
    if (whole) this.fresh = 0; // what was there before the page was opened is not news
    if (this.atEnd) this.toEnd();
  }

  // put writes one entry, in place when it is there already. A focused button stays focused when the new entry still has
  // it; else the entry itself takes the focus, so that the keyboard does not fall back to the top of the page.
  put(e) {
    const item = line(e, this.act);
    const old = this.items.get(e.id);
    this.items.set(e.id, item);
    if (e.id === this.answering) item.classList.add("answered");
    if (!old) {
      this.list.append(item);
      if (e.who !== "own") this.fresh++;
      return;
    }
    const focused = old.contains(document.activeElement) ? document.activeElement : null;
    const what = focused?.dataset?.act;
    old.replaceWith(item);
    if (!focused) return;
    const again = [...item.querySelectorAll("[data-act]")].find((element) => element.dataset.act === what);
    (again ?? item).focus({ preventScroll: true });
  }
}
