// What an observation sheet does on a tablet: it takes down what was tapped, when, and what
// was written; keeps it in this browser; saves one file.  It judges nobody.
const sheet = JSON.parse(document.getElementById("sheet").textContent);
const find = (name) => document.getElementById(name);
const own = sheet.kind === "own";
const fields = { cake: "cake", before: "before", after: "after", warmth: "temperature" };
let held = { observer: "", students: {} };
let now = 0; // whose sheet is open

const clock = (iso) => new Date(iso).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
const fresh = () => ({ rows: {}, numbers: {}, log: [], judgement: "", remark: "", second: "" });
const mine = () => (held.students[now] ??= fresh());
const line = (n) => (mine().rows[sheet.rows[n]] ??= {});
const number = (text) => {
  const found = /^\s*(-?\d+)(?:[.,](\d+))?\s*$/u.exec(text.replace("−", "-"));
  return found ? Number(`${found[1]}.${found[2] ?? 0}`) : null;
};

// --- kept in this browser -----------------------------------------------------------------

function keep() {
  try {
    localStorage.setItem(sheet.place, JSON.stringify(held));
    find("draft").textContent = `Kept on this device at ${clock(new Date().toISOString())}.`;
  } catch {
    find("draft").textContent = "This browser keeps nothing. Save before you close the page.";
  }
  if (find("saved").textContent) find("saved").textContent = "Changed since you saved: save again.";
  count();
}

function restore() {
  try {
    const text = localStorage.getItem(sheet.place);
    const kept = text && JSON.parse(text);
    if (kept && typeof kept.students === "object") held = kept;
    if (text) find("draft").textContent = "What you wrote is back.";
  } catch {
    find("draft").textContent = "This browser keeps nothing. Save before you close the page.";
  }
}

function count() {
  const given = Object.values(mine().rows).filter((row) => row.answer).length;
  find("count").textContent = `${given} of ${sheet.rows.length} rows`;
}

// --- shown ------------------------------------------------------------------------------

function show() {
  const one = mine();
  if (!own) find("observer").value = held.observer;
  sheet.rows.forEach((id, n) => {
    const row = one.rows[id] ?? {};
    for (const tap of document.getElementsByName(`row-${n}`)) tap.checked = tap.value === row.answer;
    find(`taken-${n}`).textContent = row.at ? `at ${clock(row.at)}` : "";
    find(`note-${n}`).value = row.note ?? "";
    if (!own) find(`photo-${n}`).value = row.photo ?? "";
    find(`note-${n}`).closest("details").open = Boolean(row.note || row.photo);
  });
  for (const [name, key] of Object.entries(fields)) find(name).value = one.numbers[key] ?? "";
  find("remark").value = one.remark;
  if (!own) {
    find("second").value = one.second;
    for (const tap of document.getElementsByName("judgement")) tap.checked = tap.value === one.judgement;
  }
  showLog();
  weigh();
  count();
}

function showLog() {
  find("log").replaceChildren(...mine().log.map((row, n) => {
    const item = document.createElement("li"), gone = document.createElement("button");
    item.append(`${clock(row.at)}  ${row.temperature} °C`);
    gone.type = "button";
    gone.textContent = "take out";
    gone.setAttribute("aria-label", `Take out ${row.temperature} °C at ${clock(row.at)}`);
    gone.addEventListener("click", () => { mine().log.splice(n, 1); showLog(); keep(); find("heat").focus(); });
    item.append(gone);
    return item;
  }));
  if (own) timeSaid();
}

// At home the page says what the scale and the clock come to; an observer's page only records.
function weigh() {
  if (!own) return;
  const { cake, before, after } = mine().numbers;
  const band = sheet.bands.find((one) => one.cake === cake);
  const [from, to] = [number(before ?? ""), number(after ?? "")];
  if (!band || from === null || to === null) { find("coat-said").textContent = ""; return; }
  const coat = Math.round((to - from) * 10) / 10;
  const side = coat < band.low ? "too thin" : coat > band.high ? "too heavy" : "inside the band";
  find("coat-said").textContent = `The coat weighs ${coat} g; the band is ${band.low} to ${band.high} g: ${side}.`;
}

function timeSaid() {
  const log = mine().log, times = log.map((row) => Date.parse(row.at));
  const back = times.findIndex((t, n) => n && t <= times[n - 1]);
  const hole = times.findIndex((t, n) => n && t - times[n - 1] > sheet.apart * 60000 && (log[n].temperature > sheet.cold || log[n - 1].temperature > sheet.cold));
  let said = "";
  if (back > 0) said = `The clock runs back at row ${back + 1}. Nothing can be said from this log.`;
  else if (hole > 0) said = `Between rows ${hole} and ${hole + 1} nobody read it for more than ${sheet.apart} min. Nothing can be said from this log.`;
  else if (log.length > 1) {
    let warm = 0;
    for (let n = 1; n < log.length; n++) {
      if (Math.max(log[n].temperature, log[n - 1].temperature) > sheet.cold) warm += times[n] - times[n - 1];
    }
    const minutes = Math.ceil(warm / 60000);
    said = log[0].temperature > sheet.cold
      ? `Up to ${minutes} min since row 1, which was warm already: add the time before it.`
      : `Out of the cold for at most ${minutes} min.`;
    if (sheet.hold !== null) said += minutes > sheet.hold * 60 ? ` Your rule gives ${sheet.hold * 60} min: throw it out.` : ` Your rule gives ${sheet.hold * 60} min.`;
    else said += " How long it may be: ask, or look in your local rules.";
  }
  find("log-said").textContent = said;
}

// --- taken down -----------------------------------------------------------------------------

sheet.rows.forEach((_, n) => {
  for (const tap of document.getElementsByName(`row-${n}`)) {
    tap.addEventListener("change", () => {
      Object.assign(line(n), { answer: tap.value, at: new Date().toISOString() });
      find(`taken-${n}`).textContent = `at ${clock(line(n).at)}`;
      keep();
    });
  }
  find(`note-${n}`).addEventListener("input", (event) => { line(n).note = event.target.value; keep(); });
  if (!own) find(`photo-${n}`).addEventListener("input", (event) => { line(n).photo = event.target.value; keep(); });
});
for (const [name, key] of Object.entries(fields)) {
  find(name).addEventListener("input", (event) => { mine().numbers[key] = event.target.value; weigh(); keep(); });
}
find("remark").addEventListener("input", (event) => { mine().remark = event.target.value; keep(); });
find("read-now").addEventListener("click", () => {
  const heat = number(find("heat").value);
  if (heat === null) {
    find("log-said").textContent = "Write the temperature as a number, like 32.5.";
    find("heat").focus();
    return;
  }
  find("log-said").textContent = "";
  mine().log.push({ at: new Date().toISOString(), temperature: heat });
  find("heat").value = "";
  showLog();
  keep();
});
find("heat").addEventListener("keydown", (event) => { if (event.key === "Enter") find("read-now").click(); });
if (own) {
  find("forget").addEventListener("click", () => { held.students = {}; keep(); show(); find("saved").textContent = ""; });
} else {
  find("observer").addEventListener("input", (event) => { held.observer = event.target.value; keep(); });
  find("second").addEventListener("input", (event) => { mine().second = event.target.value; keep(); });
  for (const tap of document.getElementsByName("judgement")) {
    tap.addEventListener("change", () => { mine().judgement = tap.value; keep(); });
  }
  find("student").addEventListener("change", (event) => { now = Number(event.target.value); show(); scrollTo(0, 0); });
}

// --- saved ------------------------------------------------------------------------------------

function gather() {
  const sheets = Object.entries(held.students)
    .map(([n, one]) => ({ token: sheet.people[n]?.token, ...one }))
    .filter((one) => one.token !== undefined && (Object.values(one.rows).some((row) => row.answer || row.note || row.photo) || one.log.length || one.judgement || one.remark || Object.values(one.numbers).some(Boolean)));
  return { glossbook: 1, kind: sheet.kind, observer: held.observer, saved: new Date().toISOString(), sheets };
}

function save() {
  if (!own && !held.observer.trim()) {
    find("saved").textContent = "Write your name first, at the top: a sheet without an observer can't be used.";
    find("observer").focus();
    return;
  }
  const file = gather(), text = JSON.stringify(file, null, 1);
  const whose = held.observer.trim().toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-") || "my-bench";
  const name = `${whose}.${sheet.kind}.json`;
  const many = `${file.sheets.length} ${file.sheets.length === 1 ? "student" : "students"}`;
  find("line").value = text;
  try {
    const address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    const link = document.createElement("a");
    link.href = address;
    link.download = name;
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 60000);
    find("saved").textContent = own ? `The file ${name} went to your downloads.` : `The file ${name} with ${many} went to your downloads.`;
  } catch {
    find("saved").textContent = "This browser saves no file. Copy the text below.";
    find("copying").open = true;
  }
}
find("save").addEventListener("click", save);
find("copying").addEventListener("toggle", () => { find("line").value = JSON.stringify(gather(), null, 1); });
restore();
show();
