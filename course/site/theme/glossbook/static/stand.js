// Where I stand: the counts, the three to repeat, and what this device remembers in the reader's hands.
"use strict";
(() => {
  const one = (what) => document.querySelector(what), all = (what) => [...document.querySelectorAll(what)];
  const rows = all(".stands li[data-o]"), outcomes = rows.map((row) => row.dataset.o);
  const element = (kind, text, more = {}) => Object.assign(document.createElement(kind), { textContent: text }, more);

  function show() {
    const counts = [0, 0, 0];
    outcomes.forEach((outcome) => { counts[glossbook.state(outcome)] += 1; });
    one("[data-counted]").textContent = `You have had ${counts[2]} of them right on two days and tried ${counts[1]} more; ${counts[0]} are still to come.`;
    const three = glossbook.due(outcomes).slice(0, 3), list = one(".again");
    list.hidden = !three.length;
    list.replaceChildren(...three.map((due, n) => {
      const { wording, doc, title } = rows[outcomes.indexOf(due.outcome)].dataset, item = element("li", "");
      const link = element("a", n ? "Repeat this" : "Repeat this first", { className: "press", href: `${glossbook.root}${doc}.html#to-${due.outcome}` });
      link.append(element("span", `: ${wording}`, { className: "vh" }));
      item.append(element("span", title, { className: "soft" }), element("b", wording), element("span", glossbook.why(due), { className: "soft" }), link);
      return item;
    }));
    const tried = counts[1] + counts[2] > 0, soonest = outcomes.map((one) => glossbook.next(one)).filter(Boolean).map(({ due }) => due).sort((a, b) => a - b)[0];
    one("[data-again-says]").textContent = three.length
      ? "What slipped comes first, then what was right and has had time to fade."
      : tried ? `Nothing is due today. The next one comes back in ${soonest === 1 ? "1 day" : `${soonest} days`}.`
        : "Nothing is due until you have answered a question.";
    for (const place of all("[data-read]")) {
      const day = glossbook.held.read[place.dataset.read];
      place.textContent = day ? `read on ${glossbook.said(day)}` : "";
    }
    one("[data-all-of-it] pre").textContent = JSON.stringify(glossbook.held, null, 1);
  }

  const says = (text) => { one("[data-memory-says]").textContent = text; };
  one("[data-memory]").hidden = false;
  one("[data-all-of-it]").hidden = false;
  if (!glossbook.keeps) one("[data-keeps]").textContent = "This browser keeps nothing for pages, so what you do lasts only until you leave a page. Allow it to keep data for this site, or use a window that is not private.";

  one("[data-save]").addEventListener("click", () => {
    const text = JSON.stringify({ what: "What a device remembers of a glazing course", course: glossbook.course, held: glossbook.held }, null, 1);
    const link = element("a", "", { href: URL.createObjectURL(new Blob([text], { type: "application/json" })), download: `what-i-know-${glossbook.today()}.held.json` });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
    says("Saved among your downloads.");
  });

  const box = one("[data-file]");
  one("[data-fetch]").addEventListener("click", () => box.click());
  box.addEventListener("change", async () => {
    const [file] = box.files;
    box.value = "";
    if (!file) return;
    const refuse = (why) => says(`${file.name} ${why} Nothing was changed. Choose the file that "Save what this device remembers" made; its name ends in .held.json.`);
    if (file.size > 5e6) return refuse("is larger than 5 MB, and what is remembered never is.");
    let given;
    try { given = JSON.parse(await file.text()); } catch { return refuse("can't be read: it is not whole, or of another kind."); }
    if (typeof given?.held !== "object" || !given.held) return refuse("holds nothing that this course remembers.");
    const other = given.course !== glossbook.course, fresh = glossbook.sound(given.held);
    const days = Object.values(fresh.outcomes).flat().length;
    if (!days && !Object.keys(fresh.read).length) return refuse("holds no day and no answer.");
    glossbook.change((mem) => {
      // Days of both are kept; where both have an answer to a question, this device's stays.
      for (const [outcome, more] of Object.entries(fresh.outcomes)) mem.outcomes[outcome] = [...new Set([...(mem.outcomes[outcome] ?? []), ...more])];
      mem.read = { ...fresh.read, ...mem.read };
      if (other) return; // of another kitchen: its numbers are not asked here
      mem.cards = { ...fresh.cards, ...mem.cards };
      mem.place ??= fresh.place;
    });
    says(other
      ? "Fetched: the days of each outcome. It was saved from a course for another kitchen, so its answers were left out."
      : "Fetched. What was on this device is still here as well.");
  });

  const sure = one("[data-sure]"), forget = one("[data-forget]");
  forget.addEventListener("click", () => { sure.hidden = false; one("[data-no]").focus(); });
  one("[data-no]").addEventListener("click", () => { sure.hidden = true; forget.focus(); });
  one("[data-yes]").addEventListener("click", () => {
    glossbook.change((mem) => { for (const key of Object.keys(mem)) mem[key] = key === "place" ? null : {}; });
    // Another course may have the same address: what it remembers stays.
    const run = `glossbook-run ${new URL(glossbook.root, location.href).pathname}`;
    const own = (key) => [glossbook.key, run, "glossbook-light", "glossbook-code"].includes(key) || key.startsWith("glossbook-step ");
    for (const store of ["localStorage", "sessionStorage"]) {
      try {
        for (const key of Object.keys(window[store])) if (own(key)) window[store].removeItem(key);
      } catch { /* nothing is kept here */ }
    }
    sure.hidden = true;
    forget.focus();
    says("Forgotten: answers, days, your place, the dry run, the light of the page.");
  });

  document.addEventListener("remembered", show);
  addEventListener("DOMContentLoaded", show);
})();
