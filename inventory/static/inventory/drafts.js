// What stands on the bench outlives the page: a reload, a link, the lock, a change of the person. Drafts lie in this
// browser, each under the person whose page it was typed on, and are shown to nobody else. What was kept or saved needs
// none any more, and what nobody came back to goes by itself.
//
// A draft belongs to one tab. Another tab shows it and makes one of its own from its first change; the draft it began
// with then ends with its own, unless its tab has changed it since. What two tabs take for theirs (a doubled tab has the
// memory of the first) is told apart by who wrote last.

import { putRows } from "./bench.js";

const VERSION = 1;
const DAYS = 7;
const MOST = 12;
const MOST_CHARACTERS = 60000;
const MOST_FORMS = 20;
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
const newId = () => Array.from(crypto.getRandomValues(new Uint8Array(8)), (byte) => byte.toString(16).padStart(2, "0")).join("");
const writer = newId(); // this page

// `once` names the forms that end the draft when they are carried out: that of the tab, and those that show it.
const endedBy = (draft, ...forms) => draft.once.split(" ").some((one) => forms.includes(one));

function keep(id, form, at = Date.now()) {
  const fields = [...new FormData(form)].filter(([name]) => !OWN.has(name));
  const draft = { id, at, writer, damper: form.elements.damper.value, once: form.elements.once.value, fields, focus: document.activeElement?.name ?? "" };
  if (JSON.stringify(draft).length > MOST_CHARACTERS) return;
  write([draft, ...drafts().filter((one) => one.id !== id)].sort((a, b) => b.at - a.at));
  // This entry of the history, and this tab, go on with it.
  if (history.state?.draft !== id) history.replaceState({ draft: id }, "");
  try { sessionStorage.setItem(TAB, id); } catch { /* as above */ }
}

// The form on this page ends this draft too, and every one that was gone on from to it, and no other.
function endsWith(form, draft) {
  const once = form.elements.once.value;
  const forms = draft.once.split(" ");
  write(drafts().map((one) => {
    const others = one.once.split(" ").filter((name) => name !== once).slice(1 - MOST_FORMS);
    return { ...one, once: [...others, ...(endedBy(one, ...forms) ? [once] : [])].join(" ") };
  }));
}

const ofTab = () => { try { return sessionStorage.getItem(TAB); } catch { return null; } };

// The server tells in a cookie which form it has carried out: the draft of that form is done with.
function done() {
  const once = document.cookie.split("; ").find((one) => one.startsWith("carried-out="))?.slice("carried-out=".length);
  if (!once) return;
  document.cookie = "carried-out=; Max-Age=0; Path=/; SameSite=Lax";
  write(drafts().filter((one) => !endedBy(one, once)));
}
done();
// Anew where the browser brings a page back whole.
window.addEventListener("pageshow", done);

const form = document.getElementById("bench-form");
const said = (pairs) => JSON.stringify(pairs.filter(([name, value]) => value && !OWN.has(name)));
const onPage = () => [...new FormData(form)];
const element = (tag, text, more = {}) => Object.assign(document.createElement(tag), { textContent: text, ...more });
let id = null; // of this tab's own draft
let last = null; // who wrote it last, as this page knows
let at = 0; // when it was typed
let before = null; // what the address itself says
let shown = null; // what was put back of another tab's

function when(at) {
  const day = new Date(at).toDateString() === new Date().toDateString() ? {} : { day: "numeric", month: "short" };
  return new Date(at).toLocaleString("en-GB", { ...day, hour: "2-digit", minute: "2-digit" });
}

function save() {
  const now = said(onPage());
  if (now === before) {
    if (id) remove(id);
  } else if (now !== shown) {
    const there = drafts().find((one) => one.id === id);
    own(!id || (there && there.writer !== last) ? newId() : id, Date.now());
  }
}

function own(its, since) {
  [id, last, at, shown] = [its, writer, since, null];
  keep(id, form, at);
}

// Another tab threw away or went on with what stands here: here it stays.
window.addEventListener("storage", ({ key }) => {
  if (!id || (key !== null && key !== shelf) || said(onPage()) === before) return;
  const there = drafts().find((one) => one.id === id);
  if (!there) own(id, at);
  else if (there.writer !== last) own(newId(), at);
});

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
  const told = form.querySelectorAll(":scope > .draft");
  if (told.length) [...told].at(-1).after(place);
  else form.prepend(place);
  return place;
}
const button = (text, onclick) => element("button", text, { type: "button", className: "quiet", onclick });

// Throwing a draft away leaves what the address says.
function throwAway() {
  write(drafts().filter((one) => one.id !== id && !endedBy(one, form.elements.once.value)));
  id = null;
  form.reset();
  history.replaceState({ draft: "none" }, "");
  location.replace(location.href.split("#")[0]);
}

function put(draft, ours) {
  [id, last, at] = ours ? [draft.id, draft.writer, draft.at] : [null, null, 0];
  shown = said(draft.fields);
  endsWith(form, draft);
  putBack(draft);
  for (const told of form.querySelectorAll(":scope > .draft")) told.remove();
  shown = said(onPage());
  tell(`Draft of ${when(draft.at)} put back. `, button("Throw it away", throwAway));
}

function offer(draft) {
  const place = tell(`There is a draft of ${when(draft.at)} for this damper. `,
    button("Put it here", () => { place.remove(); put(draft, draft.id === ofTab()); }), " ",
    button("Throw it away", () => { place.remove(); remove(draft.id); }));
}

function begin() {
  const address = new URLSearchParams(location.search);
  const explicit = address.has("plan") || address.has("stack") || address.get("on")?.includes("/");
  const here = drafts().filter(({ damper }) => damper === form.elements.damper.value);
  const ofThisTab = here.find((one) => one.id === ofTab());
  before = said(onPage());
  if (form.hasAttribute("data-sent")) {
    // What was sent stands here as it was typed, and its draft goes on.
    [id, last] = [ofThisTab?.id ?? null, ofThisTab?.writer];
    before = null;
    save();
  } else {
    const same = here.find((one) => one.id === history.state?.draft);
    const draft = same ?? (explicit || history.state?.draft === "none" ? null : ofThisTab ?? here[0]);
    if (draft && said(draft.fields) !== before) put(draft, draft === same || draft === ofThisTab);
    // Another one, which was not gone on from to this one, stands beside it.
    const other = here.find((one) => !draft || (one !== draft && !endedBy(one, ...draft.once.split(" "))));
    if (other && said(other.fields) !== before) offer(other);
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
