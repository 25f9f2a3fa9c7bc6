// An answer belongs to the fields that it was given for. A part of the page marked data-answers="ID OF A FORM" shows one:
// as long as the form holds something else the answer is marked as old, in words and look, and what goes on from it
// waits. With data-ask="ADDRESS" the page asks anew by itself; without it data-how says what to press.
//
// An answer that holds data-half says what is known before the long part of it: the page asks for the whole one straight
// after, with the field `whole`, and until that is there nothing goes on from it, as with an old one.
//
//   data-closed           not asked for yet; a button marked data-opens="ID OF THE PART" opens it
//   data-when-answered    on a button of the form: works only with an answer that is not old
//   data-wrong="FIELD"    in an answer: what is wrong with that field, said beside it too

const $ = (selector, from = document) => from.querySelector(selector);
const element = (tag, text, more = {}) => Object.assign(document.createElement(tag), { textContent: text, ...more });

// What a form says: its fields in order, without the empty ones and without what belongs to the page itself.
const OWN = new Set(["csrfmiddlewaretoken", "once", "shown", "half", "whole"]);
const said = (pairs) => JSON.stringify([...pairs].filter(([name, value]) => value && !OWN.has(name)));
const inside = (form) => said(new FormData(form));
// A browser that goes back fills fields in by itself: the answer on the page is still the one for what was served.
function served(form) {
  const pairs = [];
  for (const field of form.elements) {
    if (!field.name || field.disabled || field.matches("button")) continue;
    if (field.matches("[type=checkbox], [type=radio]")) { if (field.defaultChecked) pairs.push([field.name, field.value]); }
    else if (field.matches("select")) pairs.push([field.name, ([...field.options].find((one) => one.defaultSelected) ?? field.options[0])?.value]);
    else pairs.push([field.name, field.defaultValue]);
  }
  return said(pairs);
}

const answers = [...document.querySelectorAll("[data-answers]")].map(follow);
const of = (form) => answers.filter((one) => one.form === form);

function follow(place) {
  const form = document.getElementById(place.dataset.answers);
  const { ask: address, how } = place.dataset;
  let judged = served(form); // what the answer shown was given for
  let asked = null; // what is under way: one at a time, so that no server computes what nobody waits for
  let next = false; // whether to ask again after that
  let failed = false;
  let timer = 0;

  const isOld = () => inside(form) !== judged;
  const closed = () => place.hasAttribute("data-closed");
  const isHalf = () => $("[data-half]", place) !== null;
  const isOpen = () => isOld() || isHalf(); // nothing goes on from it

  function note() {
    if (failed) return navigator.onLine ? "The server did not answer." : "No connection.";
    return asked ? "The new answer is on its way." : how ?? "The answer comes as soon as you go on.";
  }

  // The words stand within the verdict where there is one, so that they stay in sight with it.
  function show() {
    const old = !closed() && (isOld() || failed);
    const before = $(".old-note", place);
    place.toggleAttribute("data-old", old);
    if (!old) return before?.remove();
    const words = `${isOld() && $("[data-verdict], .refused, .curve, .other-ways", place) ? "Out of date. " : ""}${note()}`;
    if (before?.dataset.words === words) return;
    const said = element("p", words, { className: "old-note", role: "status" });
    said.dataset.words = words;
    if (failed) said.append(" ", element("button", "Ask again", { type: "button", className: "quiet unprinted", onclick: ask }));
    before?.remove();
    ($(".verdict > div", place) ?? place).prepend(said);
  }

  // The rest of a half answer is asked for while the fields are still those that it was given for; else they come first.
  function ask() {
    clearTimeout(timer);
    if (!address || closed()) return;
    next = asked !== null;
    if (next) return show();
    failed = false;
    asked = inside(form);
    const values = new FormData(form);
    if (isHalf() && !isOld()) values.append("whole", "yes");
    htmx.ajax("POST", address, { source: place, target: place, swap: "innerHTML", values }).catch(() => {});
    show();
  }

  // While a field is being typed in nothing is asked; a field that was left, or a row that was made, is.
  function changed(done) {
    failed = failed && isOld();
    show();
    const due = isOld() ? done : isHalf(); // a key that was taken back makes the half answer right again
    if (due && address && inside(form) !== asked) {
      clearTimeout(timer);
      timer = setTimeout(ask, isOld() ? 250 : 0);
    }
  }

  // Only the answer for what stands in the fields now is shown; one that comes too late is dropped.
  place.addEventListener("htmx:beforeSwap", (event) => {
    const { requestConfig, target, shouldSwap } = event.detail;
    if (requestConfig.elt !== place || target !== place || !shouldSwap) return;
    const its = said(requestConfig.formData);
    if (its === inside(form)) judged = its;
    else event.detail.shouldSwap = false;
  });
  place.addEventListener("htmx:afterSwap", (event) => {
    if (event.detail.target !== place) return;
    failed = false;
    show();
    if (of(form)[0].place === place) sayBeside(form, place); // the first one decides
    document.dispatchEvent(new CustomEvent("answered", { detail: place }));
  });
  // Ended, however: by an answer, by the lock, or by nothing.
  place.addEventListener("htmx:afterRequest", (event) => {
    if (event.target !== place) return;
    asked = null;
    if (!failed && (next || (isHalf() && !isOld()))) ask();
    else show();
  });
  for (const kind of ["htmx:sendError", "htmx:responseError", "htmx:timeout"]) {
    place.addEventListener(kind, (event) => {
      if (event.target !== place) return;
      failed = true;
      show();
      document.dispatchEvent(new CustomEvent("unanswered", { detail: place }));
    });
  }
  return { place, form, ask, changed, isOpen, address, how, open: () => { place.removeAttribute("data-closed"); judged = null; ask(); } };
}

const every = (form, done) => { for (const one of of(form)) one.changed(done); };
document.addEventListener("input", (event) => { forget(); every(event.target.form, false); });
for (const kind of ["change", "focusout", "rows"]) {
  document.addEventListener(kind, (event) => every(event.target.form ?? event.target.closest?.("form"), true));
}
document.addEventListener("rows", () => forget());
const again = () => { for (const one of answers) one.changed(true); };
window.addEventListener("online", again);
window.addEventListener("pageshow", again);
// A computer that was locked meanwhile has not answered.
document.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.target.id === "lock") setTimeout(() => { if (!$("#lock").firstElementChild) again(); });
});

// What is wrong is said beside its field; the field itself, what stands in it and the focus are left alone.
function sayBeside(form, place) {
  for (const gone of form.querySelectorAll(".error, .refused")) gone.remove();
  for (const field of form.querySelectorAll(".wrong")) field.classList.remove("wrong");
  for (const field of form.querySelectorAll("[aria-invalid]")) {
    field.removeAttribute("aria-invalid");
    field.setAttribute("aria-describedby", (field.getAttribute("aria-describedby") ?? "").replace(/\S+(-wrong|_error)\b/g, "").trim());
  }
  for (const wrong of place.querySelectorAll("[data-wrong]")) {
    const field = form.elements[wrong.dataset.wrong];
    const around = field?.closest?.(".shim-row, .field, .bench-side");
    if (!around) continue;
    const id = `${field.name}-wrong`;
    around.append(element("p", wrong.dataset.said ?? wrong.textContent, { className: "error", id }));
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", `${field.getAttribute("aria-describedby") ?? ""} ${id}`.trim());
  }
}

// A button that goes on from the answer waits for the one that belongs to the fields; a key pressed meanwhile takes the
// press back.
let pressed = null;
function forget() {
  pressed?.words.remove();
  pressed = null;
}
document.addEventListener("submit", (event) => {
  const button = event.submitter;
  const opens = button?.dataset.opens;
  if (opens) {
    event.preventDefault();
    answers.find((one) => one.place.id === opens).open();
    return;
  }
  if (!button?.hasAttribute("data-when-answered")) return;
  const [old] = of(event.target); // the first one decides
  forget();
  if (!old?.isOpen()) return;
  event.preventDefault();
  const words = element("p", old.address ? "This waits for the answer to what stands in the fields now." : `Not yet: the answer shown is old. ${old.how}`, { className: "waits", role: "status" });
  button.closest(".deeds").after(words);
  pressed = { button, old, words };
  if (old.address) old.ask();
  else pressed.button = null;
}, true);
document.addEventListener("answered", (event) => {
  if (pressed?.button && pressed.old.place === event.detail && !pressed.old.isOpen()) {
    const { button } = pressed;
    forget();
    button.form.requestSubmit(button);
  }
});
document.addEventListener("unanswered", (event) => {
  if (pressed?.old.place === event.detail) {
    pressed.words.textContent = "Nothing was kept: there is no answer to what stands in the fields now.";
    pressed.button = null;
  }
});
