// The rows of the bench. They are made, put in, moved and taken away here, within the key that asks for it; the server only
// judges them (answers.js). Without script the same fields and buttons are sent to the server, which does the same.

import { readLines } from "./stack-lines.js";

const CELLS = ["od", "thickness", "count"];
const form = document.getElementById("bench-form");
const rowOf = (element) => element.closest("[data-row]");
const sideOf = (element) => element.closest("[data-side]");
const rowsOf = (side) => [...side.querySelectorAll("[data-row]")];
const cell = (row, name) => row.querySelector(`[name$="-${name}"]`);
const isEmpty = (row) => CELLS.every((name) => !cell(row, name).value.trim());
const fresh = new Map(); // an empty row of each side

function blank(side) {
  const row = fresh.get(side).cloneNode(true);
  for (const field of row.querySelectorAll("input")) field.value = "";
  return row;
}

// Puts values into a row; what is no size stands as text in its first cell, for the server to judge.
function filled(row, values) {
  for (const name of [...CELLS, "bore", "form"]) cell(row, name).value = values[name] ?? "";
  const more = row.querySelector(".shim-more");
  more.hidden = !(values.bore || values.form);
  more.firstElementChild.textContent = [values.bore && `bore ${values.bore} mm`, values.form].filter(Boolean).join(" ");
  return row;
}

// Names, labels and buttons follow the place of a row.
function number(side) {
  const rows = rowsOf(side);
  rows.forEach((row, index) => {
    for (const one of row.querySelectorAll("[name], [aria-label]")) {
      if (one.name !== "do") one.name = one.name.replace(/-\d+-/, `-${index}-`);
      else one.value = one.value.replace(/\d+$/, index);
      if (one.hasAttribute("aria-label")) one.setAttribute("aria-label", one.getAttribute("aria-label").replace(/line \d+/, `line ${index + 1}`));
    }
  });
  tell(side);
}

function tell(side) {
  const pieces = rowsOf(side).reduce((sum, row) => sum + (Number(cell(row, "count").value) || 0), 0);
  side.querySelector("[data-pieces]").textContent = `${pieces} shim${pieces === 1 ? "" : "s"}`;
}

const changed = (side) => { number(side); side.dispatchEvent(new CustomEvent("rows", { bubbles: true })); };
const into = (field) => { field.focus(); field.select?.(); };

// An empty row always stands behind the last one.
function next(row) {
  const below = row.nextElementSibling;
  if (below) return below;
  if (isEmpty(row)) return row;
  row.after(blank(sideOf(row)));
  number(sideOf(row));
  return row.nextElementSibling;
}

// Lines of text become rows before this one, which stays with what stands in it; gives the row to go on in.
function spread(row, text) {
  const side = sideOf(row);
  const rows = readLines(text).map((values) => filled(blank(side), values));
  if (!rows.length) return row;
  row.before(...rows);
  if (isEmpty(row) && row.nextElementSibling) row.remove();
  changed(side);
  return rows.at(-1).nextElementSibling;
}
const holdsLines = (row) => /[xX×*;\s]/.test(cell(row, "od").value.trim()) && !cell(row, "thickness").value && !cell(row, "count").value;

const deeds = {
  insert(row) {
    if (!row.nextElementSibling) return;
    row.before(blank(sideOf(row)));
    const made = row.previousElementSibling;
    changed(sideOf(row));
    into(cell(made, "od"));
  },
  remove(row) {
    const below = row.nextElementSibling;
    if (!below) return;
    const side = sideOf(row);
    row.remove();
    changed(side);
    into(cell(below, "od"));
  },
  up: (row) => move(row, row.previousElementSibling, "before"),
  down: (row) => row.nextElementSibling?.nextElementSibling && move(row, row.nextElementSibling, "after"),
  end(row) {
    if (holdsLines(row)) {
      const text = cell(row, "od").value;
      filled(row, {});
      into(cell(spread(row, text), "od"));
    } else into(cell(next(row), "od"));
  },
  text(button) {
    const side = sideOf(button);
    const area = side.querySelector("textarea");
    const text = area.value;
    area.value = "";
    into(cell(spread(next(rowsOf(side).at(-1)), text), "od"));
  },
};

function move(row, to, where) {
  // The empty row behind the last one stays there.
  if (!to || !row.nextElementSibling) return;
  const field = document.activeElement;
  to[where](row);
  changed(sideOf(row));
  field.focus();
}

if (form) {
  for (const side of form.querySelectorAll("[data-side]")) {
    // Tab goes through the sizes; the buttons between the rows have keys of their own.
    for (const button of side.querySelectorAll("[data-row] .small")) button.tabIndex = -1;
    const row = rowsOf(side).at(-1).cloneNode(true);
    for (const one of row.querySelectorAll("[autofocus]")) one.removeAttribute("autofocus");
    fresh.set(side, row);
  }

  form.addEventListener("keydown", (event) => {
    const row = rowOf(event.target);
    if (!row || !event.target.matches("input")) return;
    const deed = event.altKey && { Insert: "insert", Delete: "remove", ArrowUp: "up", ArrowDown: "down" }[event.key];
    if (deed) deeds[deed](row);
    else if (event.key === "Enter" && !event.ctrlKey) {
      const at = CELLS.findIndex((name) => event.target.name.endsWith(`-${name}`));
      if (at === 2 || (at === 0 && holdsLines(row))) deeds.end(row);
      else into(cell(row, CELLS[at + 1]));
    } else return;
    event.preventDefault();
    event.stopPropagation();
  });

  form.addEventListener("paste", (event) => {
    const text = event.clipboardData?.getData("text") ?? "";
    const row = rowOf(event.target);
    if (!row || !event.target.name.endsWith("-od") || !text.trim().includes("\n")) return;
    event.preventDefault();
    event.stopPropagation();
    into(cell(spread(row, text), "od"));
  });

  form.addEventListener("input", (event) => {
    const row = rowOf(event.target);
    if (!row) return;
    if (!row.nextElementSibling) next(row);
    tell(sideOf(row));
  });

  // The buttons of the rows work here; the form is sent to keep a plan or to save.
  form.addEventListener("submit", (event) => {
    const deed = event.submitter?.name === "do" ? event.submitter.value.split(":")[0] : "show";
    if (event.submitter?.hasAttribute("formaction") || ["plan", "save"].includes(deed)) return;
    event.preventDefault();
    if (deed === "end") deeds[rowOf(event.submitter) ? "end" : "text"](rowOf(event.submitter) ?? event.submitter);
    else if (deed === "show") form.dispatchEvent(new Event("change"));
    else deeds[deed](rowOf(event.submitter));
  });
}

// Puts rows that were on the bench before back: [name of the field, value] of each cell.
export function putRows(pairs) {
  for (const side of fresh.keys()) {
    const rows = [];
    for (const [name, value] of pairs) {
      const [, key, index, of] = /^(\w+-\w+)-(\d{1,3})-(\w+)$/.exec(name) ?? [];
      if (key === side.dataset.side) (rows[index] ??= {})[of] = value;
    }
    while (rows.length && CELLS.every((of) => !rows.at(-1)?.[of])) rows.pop();
    const made = Array.from(rows, (values) => filled(blank(side), values ?? {}));
    side.querySelector(".shim-rows").replaceChildren(...made, blank(side));
    number(side);
  }
}
