// Builds the lines of a ledger. Everything is made as elements and text nodes; no text ever becomes markup.

export function make(tag, properties = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (value === undefined || value === "" || value === false) continue;
    if (name in element && name !== "dir" && name !== "lang") element[name] = value;
    else element.setAttribute(name, value);
  }
  element.append(...children.filter((child) => child !== null && child !== undefined));
  return element;
}

const looks = {
  bold: "strong", italic: "em", underline: "u", strikethrough: "s", code: "code", spoiler: "span",
};

function run(piece, act) {
  let node = document.createTextNode(piece.text);
  for (const style of piece.styles ?? []) {
    if (!looks[style]) continue;
    node = make(looks[style], style === "spoiler" ? { className: "spoiler" } : {}, node);
  }
  if (piece.url) {
    node = make("a", { href: piece.url, target: "_blank", rel: "noopener noreferrer" }, node);
  } else if (piece.start) {
    node = make("button", { type: "button", className: "plain", onclick: () => act.start(piece.start) }, node);
    node.dataset.act = `start ${piece.start}`;
  } else if (piece.say) {
    node = make("button", { type: "button", className: "plain", onclick: () => act.say(piece.say) }, node);
    node.dataset.act = `say ${piece.say}`;
  }
  return node;
}

function paragraph(block, act) {
  const tag = { quote: "blockquote", pre: "pre" }[block.kind] ?? "p";
  return make(tag, { dir: block.dir, lang: block.lang, className: block.apart ? "apart" : "" },
    ...block.runs.map((piece) => run(piece, act)));
}

function file(attached, e, act) {
  const name = attached.name || "file";
  switch (attached.kind) {
    case "photo":
      return make("a", { className: "photo", href: attached.url, target: "_blank" },
        make("img", { src: attached.url, alt: attached.alt, onload: act.settled, dir: "auto", lang: e.lang }));
    case "voice":
      return make("audio", { controls: true, preload: "none", src: attached.url, "aria-label": `Voice note of entry ${e.no}` });
    default:
      return make("p", {}, "Document: ", make("a", { href: attached.url, download: name, dir: "auto" }, name));
  }
}

function button(e, key, act) {
  if (key.url) {
    return make("a", { href: key.url, target: "_blank", rel: "noopener noreferrer", dir: key.dir, lang: key.lang }, key.text);
  }
  const press = key.start ? () => act.start(key.start) : () => act.press(e.id, key);
  const element = make("button", { type: "button", dir: key.dir, lang: key.lang, onclick: press }, key.text);
  element.dataset.act = `press ${key.data || key.start}`;
  if (!key.data && !key.start) {
    element.setAttribute("aria-disabled", "true");
    element.onclick = () => act.nothing(key.text);
  }
  return element;
}

function by(e, act) {
  const line = make("p", { className: "by" }, make("b", { dir: "auto" }, e.name), make("span", { className: "time" }, e.time));
  if (e.answerNo) {
    const jump = make("button", { type: "button", className: "plain", onclick: () => act.jump(e.answerTo) }, `answers ${e.answerNo}`);
    jump.dataset.act = "jump";
    line.append(jump);
  }
  if (e.album) line.append(make("span", {}, "one of several"));
  if (e.edited && !e.gone) line.append(make("span", {}, "changed"));
  if (!e.gone && !e.service) {
    const answer = make("button", {
      type: "button", className: "plain answer", "aria-label": `Answer entry ${e.no}`, onclick: () => act.answer(e),
    }, "Answer");
    answer.dataset.act = "answer";
    line.append(answer);
  }
  return line;
}

// line builds the list item of one entry. act holds what its buttons do.
export function line(e, act) {
  const text = make("div", { className: "text" });
  if (e.gone) text.append(make("p", {}, "This entry was taken away."));
  else if (e.service) text.append(make("p", {}, `Notice of the server: ${e.service.replaceAll("_", " ")}.`));
  text.append(...e.blocks.map((block) => paragraph(block, act)));

  const body = make("div", { className: "line" }, by(e, act));
  if (e.file) body.append(file(e.file, e, act));
  if (text.childNodes.length) body.append(text);
  if (e.rows.length) {
    body.append(make("div", { className: "keys", role: "group", "aria-label": `Buttons of entry ${e.no}` },
      ...e.rows.map((row) => make("div", { dir: e.dir }, ...row.map((key) => button(e, key, act))))));
  }
  if (e.reaction) body.append(make("p", { className: "faint" }, `The bot marked this with ${e.reaction}`));

  const item = make("li", { className: `entry ${e.who}${e.gone ? " gone" : ""}${e.service ? " service" : ""}`, tabIndex: -1 },
    e.day ? make("p", { className: "day" }, e.day) : null,
    make("span", { className: "no" }, String(e.no)), body);
  item.setAttribute("aria-label", `Entry ${e.no}`);
  return item;
}
