"use strict";
const SIDES = ["donor", "shell"];
const at = (id) => document.getElementById(id);
const begin = JSON.parse(at("begin").textContent);
const known = { donor: "", shell: "" };
let ended = false;

const ask = async (address, asked, method = "POST") => {
  const raw = asked instanceof Blob;
  const answer = await fetch(address, {
    method,
    body: asked === undefined ? undefined : raw ? asked : JSON.stringify(asked),
    headers: { "content-type": raw ? "application/octet-stream" : "application/json" },
    credentials: "same-origin",
  });
  const text = await answer.text();
  let said;
  try { said = JSON.parse(text); } catch { said = { refused: text }; }
  if (!answer.ok) throw new Error(said.refused || text);
  return said;
};
const why = (error) => (error instanceof TypeError ? "The program behind this page does not answer." : error.message);

// What the page remembers by itself when it is loaded again; it works without.
const remembered = (key) => { try { return sessionStorage.getItem(key); } catch { return null; } };
const remember = (key, value) => { try { sessionStorage.setItem(key, value); } catch { /* not allowed: forgotten */ } };

const sentence = (place, tone, text) => {
  place.replaceChildren();
  place.className = "sentence " + tone;
  if (tone) {
    const word = document.createElement("span");
    word.className = "word";
    word.textContent = tone;
    place.append(word);
  }
  place.append(text);
};

// -- two plugs

let turn = 0;
let waiting;
const called = (details) => details.querySelector("summary").textContent.split(": ")[0] + (details.id || "");
const judge = async () => {
  const mine = ++turn;
  SIDES.forEach((side) => remember("plug-" + side, at("plug-" + side).value));
  try {
    const said = await ask("/plugs", Object.fromEntries(SIDES.map((side) => [side, at("plug-" + side).value])));
    if (mine !== turn) return;
    sentence(at("plugs-sentence"), said.tone, said.sentence);
    const found = at("plugs-found");
    const before = new Map([...found.querySelectorAll("details")].map((one) => [called(one), one.open]));
    found.innerHTML = said.html; // escaped where it is made; the page's policy runs nothing in it
    for (const one of found.querySelectorAll("details")) if (before.has(called(one))) one.open = before.get(called(one));
  } catch (error) {
    if (mine === turn && !ended) sentence(at("plugs-sentence"), "", why(error));
  }
};
const soon = () => { clearTimeout(waiting); waiting = setTimeout(judge, 60); };

const put = (side, text, said) => {
  at("plug-" + side).value = text;
  at("saved-" + side).textContent = said;
  soon();
};
const isText = (file) => /\.(csv|tsv|txt)$/i.test(file.name);
const take = async (side, file) => {
  const box = at("saved-" + side);
  if (isText(file) && file.size < 200000) {
    known[side] = "";
    at("name-" + side).value = file.name.replace(/\.[a-z]+$/i, ".csv");
    put(side, await file.text(), file.name + " is in the box, not saved.");
    return;
  }
  box.textContent = "Reading " + file.name;
  try {
    const read = await ask("/plugs/page?name=" + encodeURIComponent(file.name), file);
    if (read.table) put(side, read.table, "Read from " + file.name + ": look at each line, it may be misread.");
    else box.textContent = file.name + ": " + read.faults.join("; ");
  } catch (error) { box.textContent = why(error); }
};
const keep = async (side) => {
  const asked = { name: at("name-" + side).value.trim(), text: at("plug-" + side).value, digest: known[side] };
  try {
    const saved = await ask("/plugs/save", asked);
    known[side] = saved.digest;
    remember("known-" + side, JSON.stringify([saved.name, saved.digest]));
    put(side, saved.text, "Saved as " + saved.name + ".");
  } catch (error) { at("saved-" + side).textContent = "Not saved: " + why(error); }
};
for (const side of SIDES) {
  const given = begin.plugs[SIDES.indexOf(side)];
  const box = at("plug-" + side);
  const name = at("name-" + side);
  if (given) {
    known[side] = given.digest;
    name.value = given.name;
    box.value = given.text;
  } else {
    box.value = remembered("plug-" + side) || "";
    const last = JSON.parse(remembered("known-" + side) || "null");
    if (last) [name.value, known[side]] = last;
  }
  const named = name.value;
  const digest = known[side];
  name.addEventListener("input", () => { known[side] = name.value === named ? digest : ""; });
  box.addEventListener("input", () => { at("saved-" + side).textContent = "Not saved."; soon(); });
  at("save-" + side).addEventListener("click", () => keep(side));
}

// -- two cars

let desk;
const onDesk = async (rest) => {
  desk = desk || (await ask("/desk")).desk;
  return "/desk/" + desk + rest;
};
const bring = async (side, files) => {
  if (!files.length) return;
  const said = at("car-" + side);
  try {
    await ask(await onDesk("/" + side), undefined, "DELETE");
    let done = 0;
    for (const [name, file] of files) {
      said.textContent = "taking " + name;
      await ask((await onDesk("/" + side)) + "?name=" + encodeURIComponent(name), file);
      done += 1;
    }
    said.textContent = done === 1 ? files[0][0] : files[0][0].split("/")[0] + ", " + done + " files";
  } catch (error) { said.textContent = why(error); }
};
const below = async (entry) => {
  if (entry.isFile) {
    const file = await new Promise((done, failed) => entry.file(done, failed));
    return [[entry.fullPath.replace(/^\//, ""), file]];
  }
  const reader = entry.createReader();
  const found = [];
  for (;;) {
    const some = await new Promise((done, failed) => reader.readEntries(done, failed));
    if (!some.length) break;
    for (const one of some) found.push(...(await below(one)));
  }
  return found;
};
const dropped = async (event) => {
  const entries = [...event.dataTransfer.items].map((one) => one.webkitGetAsEntry && one.webkitGetAsEntry());
  const files = [...event.dataTransfer.files];
  if (entries.length && entries.every(Boolean)) return (await Promise.all(entries.map(below))).flat();
  return files.map((one) => [one.name, one]);
};
const seen = (files) => files.filter(([name]) => !name.split("/").some((part) => part.startsWith(".")));
for (const zone of document.querySelectorAll(".drop")) {
  zone.addEventListener("dragover", (event) => { event.preventDefault(); zone.classList.add("over"); });
  zone.addEventListener("dragleave", () => zone.classList.remove("over"));
  zone.addEventListener("drop", async (event) => {
    event.preventDefault();
    zone.classList.remove("over");
    const files = seen(await dropped(event));
    if (zone.dataset.car) await bring(zone.dataset.car, files);
    else if (files.length) await take(zone.dataset.plug, files[0][1]);
  });
}
for (const side of SIDES) {
  at("files-" + side).addEventListener("change", (event) => bring(side, [...event.target.files].map((one) => [one.name, one])));
  at("folder-" + side).addEventListener("change", (event) =>
    bring(side, seen([...event.target.files].map((one) => [one.webkitRelativePath, one]))));
}

let running;
const busy = (is) => {
  at("compare").disabled = at("decide").disabled = is;
  at("halt").hidden = !is;
};
const wait = (ms) => new Promise((done) => setTimeout(done, ms));
const work = async (question) => {
  busy(true);
  at("cars-faults").replaceChildren();
  at("cars-found").replaceChildren();
  sentence(at("cars-said"), "", "Reading");
  try {
    const address = await onDesk("/work");
    running = address + "/" + (await ask(address, { question })).work;
    for (;;) {
      const now = await ask(running, undefined, "GET");
      if (!now.running) { show(running, now.answer); break; }
      sentence(at("cars-said"), "", now.said);
      await wait(250);
    }
  } catch (error) { sentence(at("cars-said"), "", why(error)); }
  busy(false);
};
const show = (address, answer) => {
  if (answer.faults) {
    sentence(at("cars-said"), "", answer.faults[0] === "stopped" ? "Stopped." : "This cannot be answered yet:");
    const items = answer.faults[0] === "stopped" ? [] : answer.faults;
    at("cars-faults").replaceChildren(...items.map((text) => {
      const item = document.createElement("li");
      item.textContent = text;
      return item;
    }));
    return;
  }
  sentence(at("cars-said"), answer.tone, answer.sentence);
  const list = document.createElement("ul");
  for (const name of answer.files) {
    const link = document.createElement("a");
    link.href = address + "/" + name.split("/").map(encodeURIComponent).join("/");
    link.target = "_blank";
    link.rel = "noopener";
    link.textContent = name === "report.html" ? "The report, with its drawings" : name;
    const item = document.createElement("li");
    item.append(link);
    list.append(item);
  }
  const label = document.createElement("label");
  label.textContent = "Keep them in a new folder: ";
  const name = document.createElement("input");
  name.type = "text";
  name.value = "report";
  label.append(name);
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = "Keep";
  const said = document.createElement("p");
  said.setAttribute("role", "status");
  button.addEventListener("click", async () => {
    try { said.textContent = "Kept in " + (await ask(address + "/keep", { name: name.value.trim() })).kept + "."; }
    catch (error) { said.textContent = "Not kept: " + why(error); }
  });
  const notes = (answer.notes || []).map((text) => {
    const line = document.createElement("p");
    line.className = "soft";
    line.textContent = text;
    return line;
  });
  at("cars-found").replaceChildren(list, ...notes, label, button, said);
};
at("compare").addEventListener("click", () => work("compare"));
at("decide").addEventListener("click", () => work("decide"));
at("halt").addEventListener("click", () => { if (running) ask(running, undefined, "DELETE").catch(() => {}); });

// -- the end

const over = (text) => {
  ended = true;
  document.body.classList.add("ended");
  document.querySelectorAll("button, input").forEach((one) => { one.disabled = true; });
  sentence(at("plugs-sentence"), "", text);
};
at("stop").addEventListener("click", async () => {
  try { await ask("/stop"); } catch { /* it has ended already */ }
  over("Ended. This tab can be closed.");
});
const alive = new EventSource("/alive");
let lost = 0;
alive.addEventListener("open", () => { lost = 0; });
alive.addEventListener("error", () => {
  lost += 1; // the browser tries once more by itself, some seconds later
  if (ended || (lost < 2 && alive.readyState !== EventSource.CLOSED)) return;
  alive.close();
  over("The program behind this page has ended. What is in the boxes can still be copied.");
});
if (SIDES.some((side) => at("plug-" + side).value)) judge();
