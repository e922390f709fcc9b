"use strict";
const data = JSON.parse(document.getElementById("rows").textContent);
const cells = [...document.querySelectorAll("input[data-row]")];
const left = () => cells.filter((one) => one.classList.contains("doubt"));
const say = () => {
  const count = left().length;
  document.getElementById("left").textContent =
    count ? count + " doubtful cells left" : "No doubtful cell is left.";
};
const settle = (cell, done) => {
  if (!cell.dataset.reading) return;
  cell.classList.toggle("doubt", !done);
  cell.classList.toggle("done", done);
  say();
};
const next = (cell) => {
  const at = cells.indexOf(cell);
  const found = [...cells.slice(at + 1), ...cells.slice(0, at)].find((one) => one.classList.contains("doubt"));
  (found || document.getElementById("save")).focus();
};
const show = (cell) => {
  document.querySelectorAll(".spot").forEach((one) => one.remove());
  if (!cell.dataset.box) return;
  const frame = document.getElementById(cell.dataset.page);
  if (!frame) return;
  const [left, top, right, bottom] = JSON.parse(cell.dataset.box);
  const spot = document.createElement("div");
  spot.className = "spot";
  spot.style.left = left + "%";
  spot.style.top = top + "%";
  spot.style.width = right - left + "%";
  spot.style.height = bottom - top + "%";
  frame.append(spot);
  const view = frame.parentElement;
  view.scrollTo(spot.offsetLeft - view.clientWidth / 2, spot.offsetTop - view.clientHeight / 2);
};
for (const cell of cells) {
  cell.addEventListener("focus", () => show(cell));
  cell.addEventListener("input", () => settle(cell, cell.value.trim() !== ""));
  cell.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    if (!cell.value.trim() && cell.dataset.reading) cell.value = cell.dataset.reading;
    settle(cell, cell.value.trim() !== "");
    next(cell);
  });
}
const guarded = (text) =>
  /^[=@\t\r']/.test(text) || (/^[+-]./.test(text) && !/^[+-]?[0-9]+([.,][0-9]+)?$/.test(text)) ? "'" + text : text;
const quoted = (text) => (/[",\n\r]/.test(text) ? '"' + text.replaceAll('"', '""') + '"' : text);
const csv = () => {
  const rows = data.rows.map((row, number) => {
    const texts = { ...row.texts };
    const notes = row.note ? [row.note] : [];
    for (const cell of cells.filter((one) => Number(one.dataset.row) === number)) {
      texts[cell.name] = cell.value.trim();
      if (cell.classList.contains("doubt")) notes.push(row.doubts[cell.name]);
    }
    if (!texts.cavity && row.texts.connector) texts.cavity = data.unknown;
    texts.note = notes.join("; ");
    return texts;
  });
  const lines = [];
  const told = new Set();
  for (const row of rows) {
    if (!told.has(row.connector)) {
      told.add(row.connector);
      for (const head of data.heads[row.connector] || []) lines.push([head, ...data.columns.slice(1).map(() => "")]);
    }
    lines.push(data.columns.map((name) => row[name] || ""));
  }
  return [data.columns, ...lines].map((one) => one.map((text) => quoted(guarded(text))).join(",")).join("\n") + "\n";
};
document.getElementById("save").addEventListener("click", () => {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([csv()], { type: "text/csv" }));
  link.download = "rows.csv";
  link.click();
});
say();
if (left().length) left()[0].focus({ preventScroll: true });
