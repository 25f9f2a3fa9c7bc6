// What stands on the bench outlives the page: a reload, a link, the lock, a change of the person. Drafts lie in this
// browser, each under the person whose page it was typed on, and are shown to nobody else. What was kept or saved needs
// none any more, and what nobody came back to goes by itself.

import { putRows } from "./bench.js";

const VERSION = 1;
const DAYS = 7;
const MOST = 12;
const MOST_CHARACTERS = 60000;
const OWN = new Set(["csrfmiddlewaretoken", "once", "shown"]);
const person = document.getElementById("page-person")?.value;
const shelf = `shimshelf-drafts-${person}`;
const TAB = "shimshelf-draft";

const isDraft = (one) =>
  one && typeof one.id === "string" && typeof one.damper === "string" && typeof one.once === "string" && Array.isArray(one.fields) &&
  one.fields.every((pair) => Array.isArray(pair) && pair.length === 2 && pair.every((text) => typeof text === "string")) &&
  Math.abs(Date.now() - one.at) < DAYS * 86400000;

// Newest first. What cannot be read, is of another version or too old is left out.
function drafts() {
  try {
    const kept = JSON.parse(localStorage.getItem(shelf));
    return kept.version === VERSION ? kept.drafts.filter(isDraft).sort((a, b) => b.at - a.at).slice(0, MOST) : [];
  } catch {
    return [];
  }
}

function write(all) {
  try {
    if (all.length) localStorage.setItem(shelf, JSON.stringify({ version: VERSION, drafts: all.slice(0, MOST) }));
    else localStorage.removeItem(shelf);
  } catch { /* no room, or storage is switched off: the page works without drafts */ }
}

const remove = (gone) => write(drafts().filter(({ id }) => id !== gone));

function keep(id, form, at = Date.now()) {
  const fields = [...new FormData(form)].filter(([name]) => !OWN.has(name));
  const draft = { id, at, damper: form.elements.damper.value, once: form.elements.once.value, fields, focus: document.activeElement?.name ?? "" };
  if (JSON.stringify(draft).length > MOST_CHARACTERS) return;
  write([draft, ...drafts().filter((one) => one.id !== id)]);
  // This entry of the history, and this tab, go on with it.
  if (history.state?.draft !== id) history.replaceState({ draft: id }, "");
  try { sessionStorage.setItem(TAB, id); } catch { /* as above */ }
}

const ofTab = () => { try { return sessionStorage.getItem(TAB); } catch { return null; } };
const newId = () => Array.from(crypto.getRandomValues(new Uint8Array(8)), (byte) => byte.toString(16).padStart(2, "0")).join("");

// The server tells in a cookie which form it has carried out: the draft of that form is done with.
function done() {
  const once = document.cookie.split("; ").find((one) => one.startsWith("carried-out="))?.slice("carried-out=".length);
  if (!once) return;
  document.cookie = "carried-out=; Max-Age=0; Path=/; SameSite=Lax";
  write(drafts().filter((one) => one.once !== once));
}
done();
// Anew where the browser brings a page back whole.
window.addEventListener("pageshow", done);

const form = document.getElementById("bench-form");
const said = (pairs) => JSON.stringify(pairs.filter(([name, value]) => value && !OWN.has(name)));
const onPage = () => [...new FormData(form)];
const element = (tag, text, more = {}) => Object.assign(document.createElement(tag), { textContent: text, ...more });
let id = null;
let before = null; // what the address itself says

function when(at) {
  const day = new Date(at).toDateString() === new Date().toDateString() ? {} : { day: "numeric", month: "short" };
  return new Date(at).toLocaleString("en-GB", { ...day, hour: "2-digit", minute: "2-digit" });
}

function save() {
  if (said(onPage()) !== before) keep((id ??= newId()), form);
  else if (id) remove(id);
}

function putBack(draft) {
  const names = new Set(draft.fields.map(([name]) => name));
  putRows(draft.fields);
  for (const field of form.elements) {
    if (!field.name || field.closest("[data-row]") || OWN.has(field.name) || field.name === "damper") continue;
    if (field.type === "checkbox") field.checked = names.has(field.name);
    else if (field.matches("input, textarea")) {
      field.value = draft.fields.find(([name]) => name === field.name)?.[1] ?? "";
      if (field.value && field.closest("details")) field.closest("details").open = true;
    }
  }
  form.elements[draft.focus]?.focus?.();
  form.dispatchEvent(new CustomEvent("rows", { bubbles: true }));
}

function tell(...parts) {
  const place = element("div", "", { className: "draft", role: "status" });
  place.append(...parts);
  form.prepend(place);
  return place;
}
const button = (text, onclick) => element("button", text, { type: "button", className: "quiet", onclick });

// Throwing a draft away leaves what the address says.
function throwAway(gone) {
  remove(gone);
  form.reset();
  history.replaceState({ draft: "none" }, "");
  location.replace(location.href.split("#")[0]);
}

function put(draft, same) {
  // What another page may still be working on is left to it.
  id = same ? draft.id : newId();
  if (!same) remove(draft.id);
  putBack(draft);
  keep(id, form, draft.at);
  tell(`Draft of ${when(draft.at)} put back. `, button("Throw it away", () => throwAway(id)));
}

function offer(draft) {
  const place = tell(`There is a draft of ${when(draft.at)} for this damper. `,
    button("Put it here", () => { place.remove(); put(draft, false); }), " ",
    button("Throw it away", () => { place.remove(); remove(draft.id); }));
}

function begin() {
  const address = new URLSearchParams(location.search);
  const explicit = address.has("plan") || address.has("stack") || address.get("on")?.includes("/");
  const here = drafts().filter(({ damper }) => damper === form.elements.damper.value);
  before = said(onPage());
  if (form.hasAttribute("data-sent")) {
    // What was sent stands here as it was typed, and its draft goes on.
    id = here.find((one) => one.id === ofTab())?.id ?? null;
    before = null;
    save();
  } else {
    const same = here.find((one) => one.id === history.state?.draft);
    const draft = same ?? (explicit || history.state?.draft === "none" ? null : here[0]);
    if (draft && said(draft.fields) !== before) put(draft, Boolean(same));
    else if (!draft && here[0] && said(here[0].fields) !== before) offer(here[0]);
  }
  for (const kind of ["input", "change", "rows"]) form.addEventListener(kind, save);
}

// The bench with nothing on it yet names the drafts there are.
function list() {
  const all = drafts();
  if (!all.length) return;
  const place = element("p", "Your drafts: ", { className: "draft" });
  for (const { damper, at } of new Map(all.reverse().map((one) => [one.damper, one])).values()) {
    place.append(element("a", `${damper}, ${when(at)}`, { href: `?damper=${encodeURIComponent(damper)}` }), " ");
  }
  document.querySelector(".bench-top").after(place);
}

if (form) begin();
else if (document.querySelector(".bench-choose")) list();
