"use strict";
const at = (id) => document.getElementById(id);
const data = JSON.parse(at("bench").textContent);
const MOST_UNDO = 20;
const MOST_SHOWN = 40;

// An element: properties, then texts and elements. Texts stay texts.
const make = (tag, given = {}, ...content) => {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (name in made && !name.startsWith("aria")) made[name] = value;
    else made.setAttribute(name, value);
  }
  made.append(...content.filter((one) => one !== null && one !== ""));
  return made;
};
const button = (words, act, given = {}) => {
  const made = make("button", { type: "button", ...given }, words);
  made.addEventListener("click", act);
  return made;
};

// -- what there is, by id

const work = new Map(data.work.map((one) => [one.id, one]));
const readings = new Map(data.readings.map((one) => [one.id, one]));
const checks = new Map(data.checks.map((one) => [one.id, one]));
const plugs = new Map(data.plugs.map((one) => [one.id, one]));
const netOf = new Map();
const endsOf = data.nets.map(() => []);
for (const plug of data.plugs) for (const cell of plug.cells) {
  if (cell[6] === null) continue;
  const end = plug.id + ":" + cell[0];
  netOf.set(end, cell[6]);
  endsOf[cell[6]].push(end);
}
// What a line asks, in words: the same id with other words is another job.
const words = (id) => {
  const one = work.get(id) || readings.get(id) || checks.get(id);
  if (!one) return null;
  return work.has(id) ? one.do : readings.has(id) ? one.from + " to " + one.to + ": " + one.expect : one.do + ": " + one.expect;
};

// -- a reading, judged as the filled-in sheet is: the words and limits are the data's

const grammar = data.grammar;
const NUMBER = new RegExp("^(?:" + grammar.number + ")$", "u");
const LETTER = new RegExp("^(?:" + grammar.letterAsPoint + ")$", "u");
const unitOf = (text) => {
  const bare = text.replace(/\.+$/, "");
  if (grammar.twoMeanings.includes(bare)) return grammar.milliOrMega;
  if (grammar.otherUnits.includes(bare.toLowerCase())) return grammar.notOhms;
  for (const one of [bare, bare.replaceAll(" ", ""), bare.toLowerCase().replaceAll(" ", "")])
    if (Object.hasOwn(grammar.units, one)) return grammar.units[one];
  return grammar.expected;
};
const numberOf = (text) => {
  let digits = text.replaceAll(" ", "");
  const commas = digits.split(",").length - 1;
  const points = digits.split(".").length - 1;
  if (commas && points) {
    const last = Math.max(digits.lastIndexOf(","), digits.lastIndexOf("."));
    digits = digits.slice(0, last).replace(/[.,]/g, "") + "." + digits.slice(last + 1);
  } else if (commas > 1 || points > 1) {
    if (!/^[0-9]{1,3}([.,])[0-9]{3}(\1[0-9]{3})+$/.test(digits)) return grammar.expected;
    digits = digits.replace(/[.,]/g, "");
  } else if (commas) {
    if (/^[1-9][0-9]{0,2},[0-9]{3}$/.test(digits))
      return digits.replaceAll(",", "") + " or " + digits.replaceAll(",", ".") + ": the comma may be either";
    digits = digits.replaceAll(",", ".");
  }
  return /^([0-9]+\.?[0-9]*|\.[0-9]+)$/.test(digits) ? Number(digits) : grammar.expected;
};
// null: not measured; a text: what is wrong; else [ohm, bound].
const readingOf = (text) => {
  const plain = text.replaceAll("\u2126", "Ω").replaceAll("\u00a0", " ").trim().split(/\s+/).join(" ");
  const folded = plain.toLowerCase();
  if (grammar.blank.includes(folded)) return null;
  if (grammar.over.includes(folded.replace(/ohm$/, "").replace(/ω$/, "").trim())) return [Infinity, ""];
  const letter = LETTER.exec(plain);
  if (letter) return [Number(letter.groups.whole + "." + letter.groups.part) * { r: 1, k: 1e3, m: 1e6 }[letter.groups.unit.toLowerCase()], ""];
  const found = NUMBER.exec(plain);
  if (!found) return grammar.expected;
  const unit = unitOf(found.groups.unit.trim());
  const number = numberOf(found.groups.number.trim());
  if (typeof unit === "string") return unit;
  if (typeof number === "string") return number;
  const sign = found.groups.bound;
  const bound = { "<": "<", "≤": "<", "<=": "<", ">": ">", "≥": ">", ">=": ">" }[sign] || "";
  if (sign && !bound && !["=", "~", "≈"].includes(sign)) return grammar.expected;
  const ohm = number * unit;
  return bound === ">" && ohm >= grammar.apart ? [Infinity, ""] : [ohm, bound];
};
const seenOf = ([ohm, bound], [joined, part]) => {
  if (bound === ">") return "between";
  if (ohm <= joined) return "joined";
  if (bound === "<") return "between";
  if (ohm <= part) return "part";
  return ohm > grammar.apart ? "apart" : "between";
};
// "" not measured, "good", another verdict, or "not read".
const verdictOf = (one, text) => {
  const reading = readingOf(text || "");
  if (reading === null) return ["", ""];
  if (typeof reading === "string") return ["not read", "expected " + reading];
  const seen = seenOf(reading, one.limits);
  if (seen === (one.joined ? "joined" : "apart")) return [grammar.verdicts.good, ""];
  return [grammar.verdicts[seen], "expected " + one.expect];
};

// -- what is ticked, kept in the browser where that is allowed

const PREFIX = "harnesscheck bench " + data.vehicle + " ";
const KEY = PREFIX + data.digest;
const fresh = () => ({ done: {}, ticks: {}, read: {} });
const copied = (one) => ({ done: { ...one.done }, ticks: { ...one.ticks }, read: { ...one.read } });
let state = fresh();
let undone = [];
const touched = () => Object.keys({ ...state.done, ...state.ticks, ...state.read });
const said = () => Object.fromEntries(touched().map((id) => [id, words(id)]));
const known = () => Object.fromEntries([...work.keys(), ...checks.keys()].map((id) => [id, words(id)]));
const save = () => {
  let kept = false;
  try {
    localStorage.setItem(KEY, JSON.stringify({ at: Date.now(), state, said: said(), known: known() }));
    kept = true;
  } catch { /* not allowed, or full: told below */ }
  at("saved").textContent = kept ? "Saved in this browser" : "Not saved: export before you close";
  at("saved").classList.toggle("not", !kept);
};
const isTable = (one) => one !== null && typeof one === "object" && !Array.isArray(one);
const stored = (key) => {
  try {
    const read = JSON.parse(localStorage.getItem(key));
    return isTable(read) && isTable(read.state) ? read : null;
  } catch { return null; }
};
const lastOther = () => {
  let last = null;
  try {
    for (let number = 0; number < localStorage.length; number += 1) {
      const key = localStorage.key(number);
      const read = key.startsWith(PREFIX) && key !== KEY ? stored(key) : null;
      if (read && (!last || read.at > last.at)) last = read;
    }
  } catch { /* not allowed */ }
  return last;
};
// Old ticks whose line is still the same are taken over; the rest is listed.
const takeOver = (old) => {
  const gone = [];
  const other = [];
  const taken = fresh();
  for (const table of ["done", "ticks", "read"]) {
    for (const [id, value] of Object.entries(isTable(old.state[table]) ? old.state[table] : {})) {
      const before = isTable(old.said) && typeof old.said[id] === "string" ? old.said[id] : null;
      if (words(id) === null) gone.push(before || id);
      else if (before !== null && before !== words(id)) other.push(words(id) + " (it was: " + before + ")");
      else taken[table][id] = typeof value === "boolean" ? value : String(value).slice(0, 200);
    }
  }
  const added = isTable(old.known) ? Object.keys(known()).filter((id) => !Object.hasOwn(old.known, id)).map(words) : [];
  return { taken, gone, other, added };
};
const tellChanges = ({ gone, other, added }) => {
  const place = at("changed");
  place.replaceChildren(make("h2", {}, "The plan has changed since these ticks were made"));
  for (const [head, list] of [
    ["Ticked or measured, and not in this plan any more:", gone],
    ["Asks something else now, so it is open again:", other],
    ["New:", added],
  ]) {
    if (!list.length) continue;
    const shown = list.slice(0, MOST_SHOWN).map((text) => make("li", {}, text));
    if (list.length > MOST_SHOWN) shown.push(make("li", {}, "and " + (list.length - MOST_SHOWN) + " more"));
    place.append(make("p", { className: "lead" }, head), make("ul", {}, ...shown));
  }
  if (!(gone.length || other.length || added.length)) place.append(make("p", {}, "Every line is as it was."));
  place.append(button("Seen", () => { place.hidden = true; }));
  place.hidden = false;
};
const change = (act) => {
  undone.push(copied(state));
  if (undone.length > MOST_UNDO) undone.shift();
  act();
  save();
  refresh();
};
const set = (table, id, value) => change(() => {
  if (value === "" || value === false) delete state[table][id];
  else state[table][id] = value;
});

// -- the lines

const isDone = (id) => Object.hasOwn(state.done, id) || Object.hasOwn(state.ticks, id);
const shown = new Map(); // id -> what brings a line on the page up to date
const line = (id, tick, ...content) => {
  const box = tick ? make("input", { type: "checkbox", id: "tick " + id }) : null;
  const made = make("li", { className: "line" }, box || make("span", { className: "mark", "aria-hidden": "true" }, "Ω"), make("div", {}, ...content));
  made.dataset.id = id;
  if (box) box.addEventListener("change", () => tick(box.checked));
  return [made, box];
};
const net = (made, ...ends) => {
  const nets = ends.map((end) => netOf.get(end)).filter((one) => one !== undefined);
  made.dataset.nets = " " + nets.join(" ") + " ";
  made.classList.toggle("lit", lit !== null && nets.includes(lit));
};
const label = (id, text) => make("label", { className: "what", htmlFor: "tick " + id }, text);
const workLine = (one) => {
  const mean = String(one.hours);
  const field = make("input", { type: "text", inputMode: "decimal", autocomplete: "off", "aria-label": "Hours it took: " + one.do });
  const waits = make("p", { className: "waits" });
  const hours = make("p", { className: "value" }, field, "hours it took");
  const [made, box] = line(one.id, (on) => set("done", one.id, on && mean), label(one.id, one.do),
    make("p", { className: "soft" }, "about " + mean + " h" + (one.needs ? "; " + one.needs : "")), waits, hours);
  field.addEventListener("change", () => {
    const typed = Number(field.value.trim().replace(",", "."));
    if (field.value.trim() && typed >= 0 && typed < 1e6) set("done", one.id, String(typed));
    else field.value = state.done[one.id] || mean;
  });
  shown.set(one.id, () => {
    const ticked = Object.hasOwn(state.done, one.id);
    const open = one.after.map((id) => "work:" + id).filter((id) => work.has(id) && !isDone(id));
    box.checked = ticked;
    made.classList.toggle("ticked", ticked);
    waits.textContent = open.length && !ticked ? "First: " + open.slice(0, 3).map((id) => id.slice(5)).join(", ") + (open.length > 3 ? " and others" : "") : "";
    hours.hidden = !ticked;
    if (document.activeElement !== field) field.value = ticked ? state.done[one.id] : "";
  });
  return made;
};
const readField = (id, name) => {
  const field = make("input", { type: "text", inputMode: "text", autocomplete: "off", spellcheck: false, placeholder: "read", "aria-label": "Reading: " + name });
  field.addEventListener("change", () => { if (field.value !== (state.read[id] || "")) set("read", id, field.value.trim().slice(0, 200)); });
  return field;
};
const readingLine = (one) => {
  const field = readField(one.id, one.from + " to " + one.to + ", " + one.expect);
  const verdict = make("span", { className: "verdict", role: "status" });
  const ends = [one.from, one.to].map((end) => netOf.has(end) ? button(end, () => light(netOf.get(end))) : make("b", {}, end));
  const [made] = line(one.id, null, make("p", { className: "ends" }, ends[0], " to ", ends[1]),
    make("p", {}, one.expect), make("p", { className: "soft" }, one.note), make("p", { className: "value" }, field, verdict));
  const tell = (text) => {
    const [word, more] = verdictOf(one, text);
    verdict.textContent = (word === "good" ? "✓ " : word ? "✗ " : "") + word + (more ? ": " + more : "");
    verdict.className = "verdict " + (word === "good" ? "good" : word ? "bad" : "");
  };
  field.addEventListener("input", () => tell(field.value));
  net(made, one.from, one.to);
  shown.set(one.id, () => {
    if (document.activeElement !== field) field.value = state.read[one.id] || "";
    tell(field.value);
  });
  return made;
};
const checkLine = (one) => {
  const field = one.reads ? readField(one.id, one.do) : null;
  const more = [one.expect && "Expect: " + one.expect, one.note].filter(Boolean).join("; ");
  const [made, box] = line(one.id, (on) => set("ticks", one.id, on), label(one.id, one.do), make("p", { className: "soft" }, more),
    field ? make("p", { className: "value" }, field, "noted, not judged") : "");
  shown.set(one.id, () => {
    box.checked = Object.hasOwn(state.ticks, one.id);
    made.classList.toggle("ticked", box.checked);
    if (field && document.activeElement !== field) field.value = state.read[one.id] || "";
  });
  return made;
};

// -- plugs and their faces

const paintOf = (colours) => {
  const [base, ...stripes] = colours;
  if (!stripes.length) return base;
  const parts = 2 * stripes.length + 1;
  const stops = Array.from({ length: parts }, (_, n) => {
    const colour = n % 2 ? stripes[(n - 1) / 2] : base;
    return colour + " " + (100 * n) / parts + "% " + (100 * (n + 1)) / parts + "%";
  });
  return "linear-gradient(" + stops.join(",") + ")";
};
const cellButton = (plug, [cavity, is, colours, paint, circuit, does, number, marked]) => {
  const swatch = make("span", { className: "paint" });
  if (paint.length) swatch.style.background = paintOf(paint);
  const state = is === "empty" ? "empty" : !colours && !circuit && !does ? "?" : "";
  const made = button(make("b", {}, cavity + (marked ? " !" : "")), () => number === null ? unlight() : light(number, plug.id + ":" + cavity));
  made.append(paint.length ? swatch : "", make("span", {}, [colours, circuit || does, state].filter(Boolean).join(" ")),
    make("span", { className: "sr" }, marked ? " leave alone" : ""));
  made.className = (is === "empty" ? "empty " : is === "not known" ? "unknown " : "") + (marked ? "marked" : "");
  made.setAttribute("aria-label", "cavity " + cavity + ": " + ([is === "empty" ? "empty" : "", colours, circuit, does].filter(Boolean).join(", ") || "not known") + (marked ? ", leave alone" : ""));
  made.dataset.nets = number === null ? "" : " " + number + " ";
  made.dataset.end = plug.id + ":" + cavity;
  made.classList.toggle("lit", number !== null && number === lit);
  made.setAttribute("aria-pressed", String(number !== null && number === lit));
  return make("li", {}, made);
};
const photo = (name) => {
  const parts = name.split("/");
  const told = make("p", { className: "soft" }, "Photo: " + name);
  if (parts.some((part) => !part || part === "." || part === "..")) return told;
  const image = make("img", { alt: "Photo " + name, className: "photo", loading: "lazy" });
  const figure = make("div", {}, image);
  image.addEventListener("error", () => figure.replaceChildren(make("p", { className: "soft" }, "Photo: " + name + " (not beside this page)")));
  image.src = parts.map(encodeURIComponent).join("/");
  return figure;
};
const arrows = { ArrowLeft: -1, ArrowRight: 1 };
const plugCard = (plug) => {
  const card = make("details", { className: "plug", id: "plug " + plug.id },
    make("summary", {}, make("b", {}, plug.id), " " + plug.name + (plug.stop ? " (leave alone)" : "")));
  fillOnce(card, () => {
    const face = make("ul", { className: "face" }, ...plug.cells.map((cell) => cellButton(plug, cell)));
    face.addEventListener("keydown", (event) => {
      if (!(event.key in arrows)) return;
      const all = [...face.querySelectorAll("button")];
      const next = all[all.indexOf(document.activeElement) + arrows[event.key]];
      if (next) { next.focus(); event.preventDefault(); }
    });
    return [plug.stop ? make("p", { className: "caution urgent" }, plug.stop) : "", make("p", {}, plug.about),
      make("p", { className: "soft" }, data.side), face, ...plug.photos.map(photo)];
  });
  return card;
};
// A card is filled when it is first opened.
const fillOnce = (card, content) => {
  card.fill = () => {
    if (card.filled) return;
    card.filled = true;
    card.append(...content().filter(Boolean));
    refresh();
  };
  card.addEventListener("toggle", () => { if (card.open) card.fill(); });
};

// -- places

const cards = new Map();
const group = (map, key, item) => { if (!map.has(key)) map.set(key, []); map.get(key).push(item); };
const LATER = ["feeds under load", "first power-up"];
const sorted = new Map();
for (const [kind, list] of [["work", data.work], ["check", data.checks], ["plug", data.plugs], ["read", data.readings]])
  for (const one of list) group(sorted, (LATER.includes(one.group) ? one.group : "place " + one.place) + "\n" + kind, one);
const placeCard = (key, title) => {
  const of = (kind) => sorted.get(key + "\n" + kind) || [];
  const lines = [...of("work"), ...of("check"), ...of("read")].map((one) => one.id);
  if (!lines.length && !of("plug").length) return;
  const count = make("span");
  const card = make("details", { className: "card place", id: "place " + title }, make("summary", {}, make("b", {}, title), count));
  const section = (head, list, draw, tag = "ul") => list.length
    ? [make("h3", {}, head), make(tag, tag === "ul" ? { className: "lines" } : {}, ...list.map(draw))] : [];
  fillOnce(card, () => [
    ...(key === "first power-up" ? [make("p", { className: "caution", id: "not-yet" })] : []),
    ...section("Work", of("work"), workLine),
    ...section(LATER.includes(key) ? "In this order" : "Unplug first", of("check"), checkLine),
    ...section("Plugs", of("plug"), plugCard, "div"),
    ...section("Ring out", of("read"), readingLine),
  ]);
  cards.set(key, { card, count, lines });
  at("places").append(card);
};
const isSettled = (id) => isDone(id) || (readings.has(id) && Boolean(state.read[id]));
const hoursLeft = () => data.work.reduce((sum, one) => sum + (isDone(one.id) ? 0 : one.hours), 0);
const refresh = () => {
  for (const act of shown.values()) act();
  let done = 0;
  let all = 0;
  for (const { count, lines } of cards.values()) {
    const settled = lines.filter(isSettled).length;
    count.textContent = lines.length ? settled + " of " + lines.length : "";
    done += settled;
    all += lines.length;
  }
  at("progress").textContent = done + " of " + all + " done" + (data.work.length ? ", " + hoursLeft().toFixed(1) + " h left" : "");
  at("undo").disabled = !undone.length;
  if (at("not-yet")) at("not-yet").textContent = notYet();
};
const notYet = () => {
  const open = data.readings.filter((one) => !verdictOf(one, state.read[one.id])[0]).length;
  const bad = data.readings.filter((one) => !["", "good"].includes(verdictOf(one, state.read[one.id])[0])).length;
  const steps = data.work.filter((one) => !isDone(one.id) && one.id !== "work:first-power-up").length;
  const why = [[bad, "readings are not good"], [open, "are not measured"], [steps, "steps of the work are open"]].filter(([n]) => n);
  return why.length ? "Not before this is settled: " + why.map(([n, text]) => n + " " + text).join(", ") + "." : "All readings are good and all work is ticked. It is still the person at the battery who decides.";
};

// -- a net lit up

let lit = null;
const paintNet = () => {
  for (const one of document.querySelectorAll("[data-nets]")) {
    const is = lit !== null && one.dataset.nets.includes(" " + lit + " ");
    if (one.classList.contains("lit") === is) continue;
    one.classList.toggle("lit", is);
    if (one.tagName === "BUTTON") one.setAttribute("aria-pressed", String(is));
  }
};
const light = (number, end) => {
  lit = number;
  const ends = endsOf[number];
  at("net-name").textContent = (data.nets[number] || "No circuit written") + ": " + ends.length + (ends.length === 1 ? " contact" : " contacts");
  const list = (most) => {
    const items = ends.slice(0, most).map((one) => make("li", {}, button(one, () => goTo(one), { "aria-label": "Go to " + one })));
    if (ends.length > most) items.push(make("li", {}, button("and " + (ends.length - most) + " more", () => list(Infinity))));
    at("net-ends").replaceChildren(...items);
  };
  list(MOST_SHOWN);
  at("net").hidden = false;
  paintNet();
  if (end) at("net").scrollTop = 0;
};
const unlight = () => { lit = null; at("net").hidden = true; paintNet(); };
const open = (card) => { card.fill(); card.open = true; };
const goTo = (end) => {
  const plug = plugs.get(end) || plugs.get(end.slice(0, end.lastIndexOf(":")));
  open(cards.get("place " + plug.place).card);
  const card = at("plug " + plug.id);
  open(card);
  const cell = [...card.querySelectorAll("button[data-end]")].find((one) => one.dataset.end === end);
  (cell || card.querySelector("summary")).focus();
  (cell || card).scrollIntoView({ block: "center" });
};
const goToLine = (id) => {
  const found = [...cards.values()].find(({ lines }) => lines.includes(id));
  open(found.card);
  const row = [...found.card.querySelectorAll(".line")].find((one) => one.dataset.id === id);
  row.scrollIntoView({ block: "center" });
  row.querySelector("input").focus({ preventScroll: true });
};

// -- search

let book = null;
const entries = () => {
  if (book) return book;
  book = [];
  for (const plug of data.plugs) book.push(["plug " + plug.id + " " + plug.name + " " + plug.place, "Plug " + plug.id + ", " + plug.name + ", " + plug.place, () => goTo(plug.id)]);
  for (const plug of data.plugs) for (const [cavity, , colours, , circuit, does, number, , names] of plug.cells) {
    if (!colours && !circuit && !does) continue;
    const end = plug.id + ":" + cavity;
    const net = number === null ? "" : data.nets[number];
    book.push([[end, colours, names, circuit, does, net].join(" "), [end, colours, circuit, does].filter(Boolean).join(", "), () => { if (number !== null) light(number); goTo(end); }]);
  }
  for (const one of data.work) book.push(["work " + one.do + " " + one.place, "Work: " + one.do, () => goToLine(one.id)]);
  for (const one of data.readings) book.push([one.from + " " + one.to + " " + one.note, "Ring out: " + one.from + " to " + one.to, () => goToLine(one.id)]);
  for (const one of data.checks) book.push([one.do + " " + one.note, one.group + ": " + one.do, () => goToLine(one.id)]);
  book = book.map(([text, told, act]) => [text.toLowerCase(), told, act]);
  return book;
};
const search = () => {
  const wanted = at("search").value.toLowerCase().split(/\s+/).filter(Boolean);
  at("places").hidden = at("cautions").hidden = wanted.length > 0;
  at("found").hidden = !wanted.length;
  if (!wanted.length) { at("hits").textContent = ""; at("found").replaceChildren(); return; }
  const hits = entries().filter(([text]) => wanted.every((word) => text.includes(word)));
  at("hits").textContent = hits.length ? hits.length + " found" + (hits.length > MOST_SHOWN ? ", the first " + MOST_SHOWN + " shown" : "") : "Nothing found: try fewer letters";
  at("found").replaceChildren(...hits.slice(0, MOST_SHOWN).map(([, told, act]) =>
    make("li", {}, button(told, () => { at("search").value = ""; search(); act(); }))));
};

// -- out and in

const exported = () => JSON.stringify({
  format: data.format,
  vehicle: data.vehicle,
  digest: data.digest,
  inputs: data.inputs,
  plan: data.plan,
  done: Object.fromEntries(Object.entries(state.done).map(([id, hours]) => [id.slice(5), Number(hours)])),
  readings: data.readings.filter((one) => state.read[one.id]).map((one) => ({ from: one.from, to: one.to, read: state.read[one.id] })),
  page: { state, said: said(), known: known() },
}, null, 1) + "\n";
const take = async (file) => {
  let read;
  try { read = JSON.parse(await file.text()); } catch { read = null; }
  if (!isTable(read) || read.format !== data.format || !isTable(read.page) || !isTable(read.page.state)) {
    at("said").textContent = "Not taken: " + file.name + " is not an export of a bench page.";
    return;
  }
  if (read.vehicle !== data.vehicle) {
    at("said").textContent = "Not taken: " + file.name + " is of another car, " + String(read.vehicle) + ".";
    return;
  }
  const found = takeOver(read.page);
  change(() => { state = found.taken; });
  if (read.digest !== data.digest) tellChanges(found);
  at("said").textContent = "Taken from " + file.name + ". Undo brings back what was here.";
};

// -- begin

const begin = () => {
  for (const place of data.places) placeCard("place " + place, place);
  for (const last of LATER) placeCard(last, last[0].toUpperCase() + last.slice(1));
  for (const one of data.work) if (one.done !== null) state.done[one.id] = String(one.done);
  const kept = stored(KEY);
  const old = kept ? null : lastOther();
  if (kept) state = takeOver(kept).taken;
  if (old) {
    const found = takeOver(old);
    state = { ...found.taken, done: { ...state.done, ...found.taken.done } };
    tellChanges(found);
  }
  at("cautions").open = !touched().length; // who has ticked something has read them
  save();
  refresh();
};
at("search").addEventListener("input", search);
at("net-close").addEventListener("click", unlight);
at("undo").addEventListener("click", () => { if (undone.length) { state = undone.pop(); save(); document.activeElement.blur(); refresh(); } });
at("export").addEventListener("click", () => {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([exported()], { type: "application/json" }));
  link.download = "bench.json";
  link.click();
  at("said").textContent = "Written to bench.json: decide --done and ringout --results read it.";
});
at("import").addEventListener("change", async (event) => { if (event.target.files.length) await take(event.target.files[0]); event.target.value = ""; });
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") { if (!at("net").hidden) unlight(); at("more").open = false; }
  if (event.key === "/" && !["INPUT", "TEXTAREA"].includes(document.activeElement.tagName)) { event.preventDefault(); at("search").focus(); }
});
window.addEventListener("storage", (event) => {
  const kept = event.key === KEY ? stored(KEY) : null;
  if (kept) { state = takeOver(kept).taken; refresh(); }
});
begin();
