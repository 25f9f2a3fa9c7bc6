// What a page does beyond its forms. Everything here is a convenience: each page works without it.

const $ = (selector, from = document) => from.querySelector(selector);

// "/" goes to the search, as long as nothing is being typed.
document.addEventListener("keydown", (event) => {
  const typing = event.target.closest("input, textarea, select");
  // In an empty field of a row too: nothing that is scanned there begins so.
  const free = !typing || (typing.closest("[data-row]") && !typing.value);
  if (event.key === "/" && free && $("#find")) {
    event.preventDefault();
    $("#find").select();
  }
});

// A gauge or a scanner ends what it types with Enter. In a row marked data-row Enter goes to the next field of the
// row; behind the last one it presses the row's own button (data-default), or goes to the next row, or sends.
document.addEventListener("keydown", (event) => {
  const field = event.target;
  const row = field.closest("[data-row]");
  if (event.key !== "Enter" || !row || !field.matches("input, select") || event.ctrlKey) return;
  const press = row.querySelector("[data-default]");
  const fields = [...row.querySelectorAll("input:not([type=hidden]), select")].filter((one) => !one.disabled);
  const next = fields.slice(fields.indexOf(field) + 1).find((one) => !one.hasAttribute("data-passed-over"));
  const below = row.nextElementSibling?.querySelector?.("input");
  const goOn = field.hasAttribute("data-sends") ? null : next ?? (press ? null : below);
  if (!goOn && !press) return;
  event.preventDefault();
  if (!goOn) press.click();
  else { goOn.focus(); goOn.select?.(); }
});

// Enter in a select marked data-enter-presses sends its form, as it does in any other field.
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.ctrlKey || !event.target.matches("select[data-enter-presses]")) return;
  event.preventDefault();
  event.target.form.requestSubmit();
});

// A shared computer locks itself. The server decides; this shows it above the page, which keeps what is typed and takes
// no keys meanwhile, and gives the focus back afterwards.
const lock = $("#lock");
let before = null, height = 0;
// The press that locks takes the focus; what had it before gets it back.
let last = null;
document.addEventListener("focusin", (event) => { if (!event.target.closest("header, #lock")) last = event.target; });
const covered = () => {
  const locked = Boolean(lock.firstElementChild);
  for (const part of document.querySelectorAll("body > header, body > main, body > footer, body > .skip")) part.inert = locked;
  if (!locked && before) { before.focus({ preventScroll: true }); window.scrollTo(0, height); before = null; }
};
document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.target !== lock || lock.firstElementChild) return;
  const active = document.activeElement;
  before = active?.closest("header") && last?.isConnected ? last : active;
  height = window.scrollY;
});
document.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.target !== lock) return;
  // Signed in anew: the forms of the page go on with the token that holds from now on.
  const token = $("[data-token]", lock)?.dataset.token;
  if (token) {
    lock.replaceChildren();
    for (const field of document.querySelectorAll("[name=csrfmiddlewaretoken]")) field.value = token;
    document.body.setAttribute("hx-headers", JSON.stringify({ "X-CSRFToken": token }));
  }
  covered();
});
// Who is there is chosen, then the PIN is typed.
document.addEventListener("change", (event) => {
  if (event.target.matches?.("[name=person]")) $("#pin")?.focus();
});
const lockAfter = Number(document.body.dataset.lockAfter ?? 0);
if (lockAfter) {
  let used = Date.now();
  for (const kind of ["keydown", "pointerdown"]) document.addEventListener(kind, () => { used = Date.now(); });
  setInterval(() => {
    if (Date.now() - used > lockAfter * 1000 && !lock.firstElementChild) {
      htmx.ajax("GET", document.body.dataset.lockAddress, { target: "#lock", swap: "innerHTML" });
    }
  }, 5000);
}

// A page that the browser brings back whole may be the last person's: ask whether its reader still sits here.
window.addEventListener("pageshow", (event) => {
  const address = document.body.dataset.stillHere;
  if (event.persisted && address) htmx.ajax("GET", address, { target: "#lock", swap: "innerHTML" });
});

// A press that did not reach the server says so, and leaves what was typed.
const trouble = (text) => {
  const place = $("#trouble");
  place.replaceChildren();
  if (!text) return;
  const shown = document.createElement("div");
  shown.className = "refused";
  shown.textContent = text;
  place.append(shown);
};
document.addEventListener("htmx:sendError", () => trouble("The server did not answer. What you typed is still here; try again."));
document.addEventListener("htmx:responseError", (event) => {
  const { status } = event.detail.xhr;
  const id = status >= 500 && event.detail.xhr.getResponseHeader("X-Request-Id");
  const again = id ? `Try again; if it stays so, tell the number ${id}` : "Try again";
  const cure = status === 403 ? "Somebody else has signed in since, or may not do it. Reload the page" : again;
  trouble(`The server could not do that (${status}). What you typed is still here. ${cure}.`);
});
// Only an answer to what was sent takes the message away, not one that came along with the typing.
document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.shouldSwap && ["desk", "lines", "answer", "bench-curves", "bench-others", "lock"].includes(event.detail.target.id)) trouble("");
});

// Print buttons appear only where they can work.
for (const button of document.querySelectorAll("[data-print]")) button.hidden = false;
document.addEventListener("click", (event) => { if (event.target.closest("[data-print]")) window.print(); });

// What is worded for a page without script gives way.
document.documentElement.classList.add("scripts");
// The button that holds says for what, as the field beside it stands.
document.addEventListener("input", (event) => {
  const button = event.target.form?.querySelector("[data-says-for]");
  if (!button || event.target.name !== button.dataset.saysFor) return;
  const job = event.target.value.trim();
  button.textContent = `${button.dataset.says} ${job ? `for ${job}` : button.dataset.forAWhile}`;
});
// Enter in the field while it is empty goes to that button first: a key pressed twice holds nothing.
document.addEventListener("keydown", (event) => {
  const button = event.key === "Enter" && event.target.form?.querySelector("[data-says-for]");
  if (!button || event.target.name !== button.dataset.saysFor || event.target.value.trim()) return;
  event.preventDefault();
  button.focus();
});
