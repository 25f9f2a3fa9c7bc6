// Lines of text as the rows of a stack: what the server reads in the same way (compat/pages/stack_text.py), and no more.
// What is not read here stays as it was typed, for the server to judge.

const NUMBER = String.raw`(?:\d{1,3}(?:[.,]\d{1,3})?|[.,]\d{1,3})`;
// Diameter, thickness, perhaps how many behind a blank, perhaps the form.
const SIZE = new RegExp(String.raw`^(?<od>${NUMBER})(?:\s*[xX×*]\s*|\s+)(?<thickness>${NUMBER})(?:\s*[xX×*]\s*(?<bore>${NUMBER})(?=\s+[xX×*]?\s*\d))?(?:\s+(?:(?<times>[xX×*](?=\d))|[xX×*])?\s*(?<count>\d{1,3}))?(?:\s+(?<form>[a-z_]+))?$`);
const COUNT_FIRST = /^(?<count>\d{1,3})\s*[xX×*]\s+(?<rest>\d.*)$/;
const FORMS = ["round", "notched", "slotted", "polygon", "ring"];
const mm = (text) => Number(text.replace(",", "."));
// From here on a number may be the bore of a shim: whether it is, or how many, the server asks.
const LEAST_BORE = 6;
const isShim = ({ od, thickness, bore }) =>
  mm(od) > LEAST_BORE && mm(od) <= 200 && mm(thickness) >= 0.02 && mm(thickness) <= 1 &&
  (!bore || (mm(bore) >= LEAST_BORE && mm(bore) < mm(od)));
const isCount = ({ bore, times, count = "1" }) => Number(count) > 0 && (Number(count) < LEAST_BORE || Boolean(bore || times));

// One size as {od, thickness, count, bore, form}; else null.
export function readLine(text) {
  let typed = text.replace(/mm|Ø|ø/gi, " ").replace(/\s+/g, " ").trim();
  let found = SIZE.exec(typed);
  const first = COUNT_FIRST.exec(typed);
  if (first && Number(first.groups.count) < LEAST_BORE) found = SIZE.exec(`${first.groups.rest} x${first.groups.count}`) ?? found;
  if (!found || !isShim(found.groups) || !isCount(found.groups)) return null;
  const { od, thickness, bore = "", count = "1", form = "" } = found.groups;
  if (form && !FORMS.includes(form)) return null;
  return { od, thickness, count, bore, form: form === "round" ? "" : form };
}

// Every line as a row, in order; nothing of it is lost but what stands behind a #.
export function readLines(text) {
  const pieces = text.split(/\r?\n/).flatMap((line) => line.split("#", 1)[0].split(/;|,(?=\s|$)/));
  return pieces.filter((piece) => piece.trim()).map((piece) => readLine(piece) ?? { od: piece.trim() });
}
