// The row that takes a delivery in. Without this it works as any form; with it nobody waits for the server.

const $ = (selector, from = document) => from.querySelector(selector);
const row = () => $("form[data-goes-on]");
const home = () => $("[data-home]");
const AGREED = ["sure_count", "make_drawer"]; // what somebody was asked, and said yes to

// A row that is sent is emptied at once, and its values wait in this queue: one is sent after the other, each with the
// key that it had, so that a line sent again after a broken connection is taken in once.
const waiting = [];
let underway = false;

const freshKey = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");
const typed = (form) => [...form.elements].filter((one) => one.matches("input:not([type=checkbox], [type=hidden]), select"));
const words = (values) => ["part", "quantity", "drawer", "readings"].map((name) => values[name]).filter(Boolean).join(", ");

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form !== row()) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  waiting.push({ filled: "", ...Object.fromEntries(new FormData(form, event.submitter)) });
  empty(form);
  sendNext();
}, true);

function empty(form) {
  for (const field of typed(form)) field.value = field.matches("select") ? field.options[0].value : "";
  for (const name of ["typed_for", ...AGREED]) form.elements[name].value = "";
  form.elements.once.value = freshKey();
  $("#known").replaceChildren();
  home().focus();
}

async function sendNext() {
  // While a refused line stands in the row the others wait: it must not be pushed out.
  if (underway || !waiting.length || !row()) return;
  underway = unanswered = true;
  const values = waiting.shift();
  const failed = await sent(values);
  underway = unanswered = false;
  if (failed) putBack(values);
  else sendNext();
}

// Sends one line; gives whether the server has not answered for it. A refusal (422) is an answer; the lock is none, and
// neither is being sent elsewhere, unless that was asked for: to make a part.
const isAnswer = (xhr, values) =>
  (xhr.status === 422 || (xhr.status >= 200 && xhr.status < 300)) &&
  xhr.getResponseHeader("HX-Retarget") !== "#lock" && (!xhr.getResponseHeader("HX-Redirect") || "make" in values);

async function sent(values) {
  let answered = false;
  const note = ({ detail: { xhr, requestConfig } }) => {
    if (requestConfig.elt.id !== "desk") return;
    answered = isAnswer(xhr, values);
    // An answer may itself lead to another page: then nothing is lost.
    if (answered) unanswered = false;
  };
  // Before the answer is acted on: after a redirect there is no page to come back to.
  document.addEventListener("htmx:beforeOnLoad", note);
  try {
    await htmx.ajax("POST", row().action, { source: "#desk", target: "#desk", swap: "outerHTML", values });
  } catch {
    answered = false;
  }
  document.removeEventListener("htmx:beforeOnLoad", note);
  return !answered;
}

function putBack(values) {
  const form = row();
  if (form && !typed(form).some((field) => field.value && !field.matches("select"))) {
    for (const [name, value] of Object.entries(values)) {
      const field = form.elements[name];
      const ours = name === "filled" || (name === "drawer" && value === values.filled);
      if (field && field.type !== "checkbox" && !ours) field.value = value;
    }
    home().dispatchEvent(new Event("change", { bubbles: true }));
    return;
  }
  waiting.unshift(values);
  tell(`Not on the shelf yet, sent with the next line: ${words(values)}`);
}

function tell(text) {
  const shown = document.createElement("div");
  shown.className = "refused";
  shown.tabIndex = -1;
  shown.textContent = text;
  $("#trouble").replaceChildren(shown);
  return shown;
}

// Leaving the page would lose what waits.
let unanswered = false;
window.addEventListener("beforeunload", (event) => { if (waiting.length || unanswered) event.preventDefault(); });

// What the shelf knows of the part fills the drawer, as long as nobody has typed into it.
function fill() {
  for (const known of document.querySelectorAll("[data-fills]")) {
    const field = document.getElementById(known.dataset.fills);
    const untouched = field && field !== document.activeElement && (!field.value || field.value === field.dataset.filled);
    if (untouched) field.value = field.dataset.filled = known.dataset.value;
  }
}

// All of the row but its count and its drawer belongs to one bag. The row notes for which part they were typed; once another part
// is typed they go, are told, and so do the offers, the errors and the drawer that was proposed.
const OF_BAG = ["readings", "condition", "cure_date", "lot", "source", "unit_cost"];
document.addEventListener("input", (event) => {
  const form = home()?.form;
  if (!form || event.target.form !== form) return;
  if (OF_BAG.includes(event.target.name)) form.elements.typed_for.value ||= home().value.trim();
  if (event.target === home()) anotherPart(form);
});

function anotherPart(form) {
  for (const gone of form.querySelectorAll(".other-size, .error, [data-refused]")) gone.remove();
  for (const field of form.querySelectorAll(".wrong")) field.classList.remove("wrong");
  for (const field of form.querySelectorAll("[aria-invalid]")) field.removeAttribute("aria-invalid");
  const { drawer, typed_for: typedFor } = form.elements;
  if (drawer.value && drawer.value === drawer.dataset.filled) drawer.value = "";
  $("#known").replaceChildren();
  // What was agreed to was agreed for the part that stood there.
  for (const name of AGREED) form.elements[name].value = "";
  const was = typedFor.value;
  if (!was || was.toLowerCase() === home().value.trim().toLowerCase()) return;
  const taken = [];
  for (const field of OF_BAG.map((name) => form.elements[name])) {
    const empty = field.matches("select") ? field.options[0].value : "";
    if (field.value !== empty) taken.push(field.matches("select") ? field.selectedOptions[0].text : field.value);
    field.value = empty;
  }
  typedFor.value = "";
  if (taken.length) tell(`Taken out of the row, since it was typed for ${was}: ${taken.join(", ")}`);
}

// Whoever opens Undo says why.
document.addEventListener("toggle", (event) => {
  if (event.target.open && event.target.closest(".undo")) $("[name=reason]", event.target).focus();
}, true);

// Whoever scans on after a refusal must not type into what was refused. So its message takes the keys: it shows what
// comes in and takes none of it, until somebody presses Enter or Tab on purpose and is led to what is wrong.
let refused = null;
document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.target.id !== "desk") return;
  const now = event.detail.xhr.status === 422 && row();
  refused = now ? words(Object.fromEntries(new FormData(row()))) : null;
});

function guard(typedOn, words = "Refused, see below. Enter leads to what is wrong.", atOnce = ["Enter", "Tab"]) {
  const shown = tell("");
  const say = () => {
    shown.textContent = words;
    if (typedOn) shown.textContent += ` Typed since and not taken, arrow down goes on: ${typedOn}`;
  };
  shown.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.shiftKey && event.key === "Tab") return;
    // Enter and Tab may themselves be typed on; arrow down never is.
    if (event.key === "ArrowDown" || (!typedOn && atOnce.includes(event.key))) {
      event.preventDefault();
      const field = $("#known .candidates button") ?? $("#desk [autofocus]") ?? home();
      field.focus();
      field.select?.();
    } else if (["Enter", "Tab"].includes(event.key) || event.key.length === 1) {
      event.preventDefault();
      event.stopPropagation();
      typedOn += event.key.length === 1 ? event.key : ", ";
      say();
    }
  });
  say();
  shown.focus();
}

// Only here: htmx itself gives the focus to a field between swap and settle.
document.addEventListener("htmx:afterSettle", (event) => {
  if (event.detail.target.id === "known") return several();
  if (refused === null) return;
  guard(refused);
  refused = null;
});

// Which of several parts is meant is asked before anything is taken for one of them. What was typed on meanwhile may be
// half of a number, so it goes out of the row and is shown with what is still to come.
let before = new Map();
document.addEventListener("change", (event) => {
  if (event.target === home()) before = new Map(typed(home().form).map((field) => [field, field.value]));
});

function several() {
  if (!$("#known .candidates") || document.activeElement === home()) return;
  const since = [...before].filter(([field, value]) => field !== home() && !field.dataset.filled && field.value !== value);
  const typedOn = since.map(([field]) => `${field.value}, `).join("");
  for (const [field, value] of since) field.value = value;
  if (!home().form.elements.readings.value) home().form.elements.typed_for.value = "";
  guard(typedOn.replace(/, $/, ""), `${home().value} may be any of several parts. Enter, or arrow down, leads to them.`, ["Enter"]);
}

// An answer about a part that has been sent or corrected since is too late.
document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.target.id !== "known") return;
  const asked = new URL(event.detail.xhr.responseURL).searchParams.get("part");
  if (asked !== home().value) event.detail.shouldSwap = false;
});

document.addEventListener("htmx:afterSwap", (event) => {
  fill();
  if (refused !== null) return;
  // The fragment says where to go on; htmx itself would stay in the field of the same name. What had the focus may be
  // gone with the old fragment: then the next scan goes into the part.
  const lost = document.activeElement === document.body;
  const field = event.target.querySelector?.("[autofocus]") ?? (lost ? home() : null);
  field?.focus();
  if (event.detail.requestConfig?.path.includes("/undo") && $("#lines[data-said]")) {
    // What is undone was not meant: what still stands in the row is looked at anew, and the next scan replaces it.
    $("[data-refused]")?.remove();
    home().focus();
    home().select();
  } else field?.setSelectionRange?.(field.value.length, field.value.length);
  sendNext();
});

// A box marked data-asks lets Enter stop at the field it names, or pass it over.
document.addEventListener("change", (event) => {
  const asks = event.target.dataset.asks;
  if (asks) document.getElementById(asks).toggleAttribute("data-passed-over", !event.target.checked);
});
