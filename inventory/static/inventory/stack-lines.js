// Lines of text as the rows of a stack: what the server reads in the same way (compat/pages/stack_text.py), and no more.
// What is not read here stays as it was typed, for the server to judge.

const NUMBER = String.raw`(?:\d{1,3}(?:[.,]\d{1,3})?|[.,]\d{1,3})`;
// Diameter, thickness, perhaps how many behind a blank, perhaps the form.
const SIZE = new RegExp(String.raw`^(?<od>${NUMBER})(?:\s*[xX×*]\s*|\s+)(?<thickness>${NUMBER})(?:\s*[xX×*]\s*(?<bore>${NUMBER})(?=\s+[xX×*]?\s*\d))?(?:\s+[xX×*]?\s*(?<count>\d{1,3}))?(?:\s+(?<form>[a-z_]+))?$`);
const COUNT_FIRST = /^(?<count>\d{1,3})\s*[xX×*]\s+(?<rest>\d.*)$/;
const FORMS = ["round", "notched", "slotted", "polygon", "ring"];
const mm = (text) => Number(text.replace(",", "."));

// One size as {od, thickness, count, bore, form}; else null.
export function readLine(text) {
  let typed = text.replace(/mm|Ø|ø/gi, " ").replace(/\s+/g, " ").trim();
  let found = SIZE.exec(typed);
  const first = COUNT_FIRST.exec(typed);
  if (first && (!found || mm(found.groups.thickness) > 5)) found = SIZE.exec(`${first.groups.rest} x${first.groups.count}`);
  if (!found) return null;
  const { od, thickness, bore = "", count = "1", form = "" } = found.groups;
  if (mm(thickness) > 5 || (form && !FORMS.includes(form))) return null;
  return { od, thickness, count, bore, form: form === "round" ? "" : form };
}

// Every line as a row, in order; nothing of it is lost but what stands behind a #.
export function readLines(text) {
  const pieces = text.split(/\r?\n/).flatMap((line) => line.split("#", 1)[0].split(/;|,(?=\s|$)/));
  return pieces.filter((piece) => piece.trim()).map((piece) => readLine(piece) ?? { od: piece.trim() });
}
