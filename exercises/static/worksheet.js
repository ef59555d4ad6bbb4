// What a worksheet does in the browser: keeps a draft, says whether an answer can be
// read (never whether it is right), and saves one small file to hand in.
const sheet = JSON.parse(document.getElementById("sheet").textContent);
const place = "glossbook " + sheet.token;
const known = new Map(Object.entries(JSON.parse(document.getElementById("units").textContent)));
const find = (name) => document.getElementById(name);

// The grammar of the strict reader, for "can this be read?" alone; the marking reads
// again with the reader itself, and the two are tested against each other.
function readAnswer(text) {
  const no = (problem, next) => ({ ok: false, problem, next });
  const sample = 'Write a number and its unit, like "12.5 g".';
  if ([...text].length > 64) return no("This is too long to be read.", sample);
  const spaced = text.replace(/[\u00a0\u2009\u202f\u2007\u3000\t]/gu, " ")
    .replace(/[\uff01-\uff5e]/gu, (wide) => String.fromCharCode(wide.charCodeAt(0) - 0xfee0));
  if (/\p{C}/u.test(spaced)) {
    return no("This holds an invisible character.", "Type it instead of pasting it.");
  }
  const plain = spaced.trim().replace(/[−–]/gu, "-")
    .replace(/^([€£$])\s*([0-9](?:[0-9 .,]*[0-9])?)(.*)$/u, "$2 $1$3")
    .replace(/^[+-]?\s?[0-9]{1,3}(?:(?:\.[0-9]{3})+(?=,[0-9])|(?:,[0-9]{3})+(?=\.[0-9]))/u,
      (whole) => whole.replace(/[.,]/gu, ""));
  if (!plain) return no("", "");
  const found = /^([+-]?)\s?([0-9]{1,3}(?: [0-9]{3})+(?![0-9])|[0-9]+|(?=[.,][0-9]))(?:([.,])([0-9]+)|\.(?= |$))?(?:[eE]([+-]?[0-9]{1,2})(?![0-9]))?/u.exec(plain);
  if (!found) return no("This does not begin with a number.", sample);
  const [all, sign, written, mark, part, power] = found;
  const whole = written.replaceAll(" ", "");
  if (mark === "," && part.length === 3 && /[^0]/.test(whole) && !power && whole === written) {
    return no(`${whole},${part} can be read in two ways.`, "Write it with a decimal point, or without the comma.");
  }
  const rest = plain.slice(all.length).trim();
  const number = sign.replace("-", "−") + (whole || "0") + (mark ? "." + part : "") + (power ? " × 10^" + Number(power) : "");
  const value = Number(`${sign}${whole}.${part || 0}e${power || 0}`);
  if (!rest) return { ok: true, value, number, unit: null };
  if ("0123456789.,eE+-".includes(rest[0]) && !known.has(rest)) {
    return no("This holds more than one number.", 'Write a single number without spaces in it, like "1200 g".');
  }
  const unit = known.get(rest) ?? known.get(rest.split(/\s+/u).join(" "));
  if (unit === undefined) {
    return no(`The unit “${rest}” is not known.`, "Write it like g, kg, ml, °C, %, cm or min.");
  }
  return { ok: true, value, number, unit };
}

function tell(key, words, no = false, strong = "") {
  const line = find("read-" + key);
  line.classList.toggle("no", no);
  line.textContent = words;
  if (strong) {
    const b = document.createElement("b");
    b.textContent = strong;
    line.append(" ", b);
  }
}

// --- draft, count, hand-in -------------------------------------------------------------

function gather() {
  const answers = {}, working = {};
  for (const part of sheet.parts) {
    const answer = kinds[part.kind].answer(part);
    if (answer) answers[part.key] = answer;
  }
  for (const key of sheet.working) {
    const words = find("working-" + key).value;
    if (words.trim()) working[key] = words;
  }
  return { glossbook: 1, token: sheet.token, answers, working, saved: new Date().toISOString() };
}

function keep() {
  try {
    localStorage.setItem(place, JSON.stringify(gather()));
    const time = new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    find("draft").textContent = `Draft kept in this browser at ${time}.`;
  } catch {
    refused();
  }
}

function refused() {
  find("draft").textContent = "This browser keeps no draft. Save your hand-in before you close the page.";
}

function count() {
  const states = sheet.parts.map((part) => kinds[part.kind].look(part));
  const keys = (state) => sheet.parts.filter((_, n) => states[n] === state).map((part) => part.key);
  const read = keys("read"), unread = keys("unread");
  find("count").textContent = `${read.length} of ${states.length} answers can be read`;
  return { open: keys("empty"), unread };
}

let timer, given = false;
function soon() {
  clearTimeout(timer);
  timer = setTimeout(settle, 250);
}
// What was saved, or stands as a line to copy, must not be taken for what is written now.
function settle() {
  clearTimeout(timer);
  timer = undefined;
  count();
  keep();
  if (find("copying").open) showLine();
  find("copied").textContent = "";
  if (given) find("saved").textContent = "Something was changed since you saved. Save again, and hand in the newer file.";
}
function changed(part) {
  kinds[part.kind].look(part);
  soon();
}

function restore() {
  let text = null;
  try { text = localStorage.getItem(place); } catch { refused(); return; }
  if (!text) return;
  let draft;
  try { draft = JSON.parse(text); } catch { return; }
  const kept = (held, key) => typeof held?.[key] === "string" ? held[key] : "";
  for (const part of sheet.parts) kinds[part.kind].fill(part, kept(draft?.answers, part.key));
  for (const key of sheet.working) {
    const field = find("working-" + key);
    field.value = kept(draft?.working, key);
    if (field.value) field.closest("details").open = true;
  }
  find("draft").textContent = "Your draft of this sheet is back.";
}

async function lineOf(handIn) {
  const bytes = new TextEncoder().encode(JSON.stringify(handIn));
  const web64 = (data) => {
    let text = "";
    for (const byte of data) text += String.fromCharCode(byte);
    return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  };
  try {
    const stream = new Blob([bytes]).stream().pipeThrough(new CompressionStream("deflate"));
    return "GB1." + web64(new Uint8Array(await new Response(stream).arrayBuffer()));
  } catch {
    return "GB0." + web64(bytes);
  }
}

async function showLine() {
  find("line").value = await lineOf(gather());
}

async function save() {
  given = false;
  settle();
  const { open, unread } = count();
  const words = [];
  if (unread.length) words.push(`Not readable yet: ${unread.join(", ")}.`);
  if (open.length) words.push(`Not answered: ${open.join(", ")}.`);
  const name = `${sheet.file}.handin.json`;
  try {
    const address = URL.createObjectURL(new Blob([JSON.stringify(gather(), null, 1)], { type: "application/json" }));
    const link = document.createElement("a");
    link.href = address;
    link.download = name;
    if (!("download" in link)) throw new Error("no download");
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 60000);
    words.unshift(`The file ${name} went to your downloads. Hand that file in.`);
  } catch {
    words.unshift("This browser saves no file. Copy the line below and hand it in.");
    find("copying").open = true;
  }
  await showLine();
  find("saved").textContent = words.join(" ");
  given = true;
}

async function copy() {
  await showLine();
  const line = find("line");
  try {
    await navigator.clipboard.writeText(line.value);
    find("copied").textContent = "The line is copied.";
  } catch {
    line.focus();
    line.select();
    find("copied").textContent = "The line is selected. Copy it with your keyboard or by a long press.";
  }
}

for (const part of sheet.parts) {
  const kind = kinds[part.kind], block = find("part-" + part.key);
  const area = kind.area ? kind.area(part) : block;
  area.addEventListener("input", (event) => { if (!event.target.matches("textarea")) changed(part); });
  kind.start?.(part, block);
}
for (const key of sheet.working) {
  find("working-" + key).addEventListener("input", soon);
}
function sideways() {
  for (const table of document.querySelectorAll(".scroll")) {
    table.nextElementSibling.hidden = table.scrollWidth <= table.clientWidth;
  }
}
addEventListener("resize", sideways);
sideways();
find("save").addEventListener("click", save);
find("copy").addEventListener("click", copy);
find("copying").addEventListener("toggle", showLine);
// A phone may end a page that is out of sight without another word.
for (const leaving of ["pagehide", "visibilitychange"]) addEventListener(leaving, () => { if (timer) settle(); });
// The same sheet in another window: the newer draft counts in both.
addEventListener("storage", (event) => {
  if (event.key !== place || !event.newValue || timer) return;
  restore();
  count();
  find("draft").textContent = "This sheet is open in another window as well. Its newer answers are taken over here.";
});
restore();
count();
