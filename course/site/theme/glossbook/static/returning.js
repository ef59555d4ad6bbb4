// What comes back: at the head of a lesson what slipped or is due takes a place; a mixed set asks for
// the way first; the start check and the self-test are read as a whole.
"use strict";
(() => {
  const all = (what, where = document) => [...where.querySelectorAll(what)];
  const element = (kind, text, more = {}) => Object.assign(document.createElement(kind), { textContent: text }, more);
  const live = !!document.querySelector("script[data-ways]");
  const set = document.querySelector("article.set");

  // --- the head of a lesson ---------------------------------------------------------------

  const opening = document.querySelector(".along .back");
  if (opening) {
    const order = glossbook.order(), here = order.findIndex(({ page }) => page === glossbook.page);
    const homes = new Map(order.slice(0, here).flatMap((lesson) => lesson.outcomes.map((outcome) => [outcome, lesson])));
    const slots = [...opening.children], own = slots.map((slot) => slot.querySelector("form").dataset.o);
    const today = glossbook.today(), kept = glossbook.held.asked[glossbook.page];
    let three = kept?.day === today ? kept.three : null;
    if (!three) {
      const due = glossbook.due([...homes.keys()]).slice(0, slots.length).map(({ outcome }) => outcome);
      const free = slots.map((_, n) => n).filter((n) => !due.includes(own[n]));
      three = slots.map(() => null);
      for (const outcome of due.filter((one) => !own.includes(one))) three[free.shift()] = [outcome, glossbook.days(outcome).length];
      if (due.length) glossbook.change((mem) => { mem.asked[glossbook.page] = { day: today, three }; });
    }
    const why = (slot, outcome) => {
      const before = glossbook.next(outcome, today);
      if (before) slot.querySelector(".from").append(element("span", `, ${glossbook.why(before)}`));
    };
    slots.forEach((slot, n) => { if (!three[n]) why(slot, own[n]); });
    glossbook.again = (cards) => {
      slots.forEach((slot, n) => {
        const [outcome, times] = three[n] ?? [], home = homes.get(outcome), choice = cards[outcome];
        if (!home || !choice) return;
        const from = element("p", "From ", { className: "from" }), body = document.createElement("template");
        from.append(element("a", home.title, { href: `${glossbook.root}${home.page}.html` }));
        body.innerHTML = choice[times % choice.length][1];
        slot.replaceChildren(from, body.content);
        why(slot, outcome);
        oral(slot.querySelector("form"));
        slot.querySelector("form").dispatchEvent(new Event("card", { bubbles: true }));
      });
    };
    if (three.some(Boolean)) document.body.append(element("script", "", { src: opening.dataset.again }));
  }

  // Where no answer can be read in the page, it is said aloud, turned over and judged by the reader.
  function oral(form) {
    if (live) return;
    const fold = form.querySelector(".gb-worked"), row = element("p", "", { className: "gb-oral" }), told = element("span", "", { role: "status" });
    for (const [words, mark] of [["I had it", ""], ["Not yet", "-"]]) {
      const button = element("button", words, { type: "button", className: "gb-button" });
      button.addEventListener("click", () => {
        glossbook.note(form.dataset.o, mark);
        told.textContent = mark ? "Noted. It comes back next time." : "Noted for today.";
      });
      row.append(button);
    }
    row.append(told);
    fold.append(row);
  }
  addEventListener("DOMContentLoaded", () => all(".back form").forEach(oral));

  // --- a mixed set: the way first --------------------------------------------------------------

  for (const ways of all(".set .gb-ways")) {
    const slot = ways.closest("li"), form = slot.querySelector("form"), said = slot.querySelector(".gb-way-says");
    form.querySelector(".gb-asked").after(ways, said);
    if (live) form.dataset.shut = "";
    const open = () => { delete form.dataset.shut; ways.hidden = true; };
    // A keyboard passes over the ways before the one that is meant: only the button takes one.
    const take = element("button", "Take this way", { type: "button", className: "gb-button gb-first" });
    ways.append(take);
    take.addEventListener("click", () => {
      const chosen = ways.querySelector(":checked");
      if (!chosen) { said.textContent = "Choose a way first."; return; }
      const words = chosen.closest("label").textContent.trim();
      if (chosen.value !== form.dataset.o) {
        said.textContent = `That is how to ${chosen.dataset.wording}. What is asked for here?`;
        glossbook.spoil(form, { off: Math.max(1, glossbook.card(form)?.off ?? 0) });
        return;
      }
      said.textContent = `Your way: ${words[0].toLowerCase()}${words.slice(1)}.`;
      open();
      form.querySelector(".gb-boxes :is(input:not([type=hidden]), button)")?.focus();
    });
    form.addEventListener("come-back", open);
    form.addEventListener("judged", () => { slot.querySelector(".from").hidden = false; });
  }

  // --- the start check and the self-test: read as a whole ------------------------------------------

  const acts = set?.querySelector("[data-all]");
  if (!acts || !live) return;
  // What was left out is told so: here nobody is asked to guess.
  const leftOut = ({ target }) => all('[data-word="not answered yet"]', target).forEach((place) => place.replaceChildren(element("strong", "left out")));
  for (const what of ["judged", "come-back"]) set.addEventListener(what, leftOut);
  const told = set.querySelector("[data-told]"), button = acts.querySelector("button");
  acts.hidden = false;
  const read = (form) => new Promise((done) => {
    form.addEventListener("judged", ({ detail }) => done(Object.values(detail.verdicts).every(({ word }) => word === "agrees")), { once: true });
    form.addEventListener("lost", () => done(null), { once: true });
    form.requestSubmit();
  });
  const links = (lessons) => {
    const list = element("ul", "");
    for (const { page, title } of lessons) {
      const item = element("li", "");
      item.append(element("a", title, { href: `${glossbook.root}${page}.html` }));
      list.append(item);
    }
    return list;
  };
  button.addEventListener("click", async () => {
    button.disabled = true;
    told.textContent = "Your answers are being read.";
    const missed = new Set(), asked = new Set();
    let right = 0;
    for (const form of all("form", set)) {
      const lesson = set.querySelector(`.lines li[data-o="${form.dataset.o}"]`).dataset.doc, got = await read(form);
      if (got === null) {
        told.textContent = "They could not be read: what this page calculates with can't be fetched or started. Your answers are still there. Look at the connection, then press the button again.";
        button.disabled = false;
        return;
      }
      asked.add(lesson);
      if (got) right += 1; else missed.add(lesson);
    }
    button.disabled = false;
    set.dataset.read = "";
    const lessons = glossbook.order(), take = lessons.filter(({ page }) => missed.has(page) || (set.dataset.kind === "check" && !asked.has(page)));
    const rest = lessons.filter(({ page }) => asked.has(page) && !missed.has(page)), n = all("form", set).length;
    told.replaceChildren(element("p", `${right} of ${n} agree.`));
    if (set.dataset.kind === "check") {
      told.append(element("p", `Take ${take.length === 1 ? "this lesson" : `these ${take.length} lessons`}:`), links(take));
      if (rest.length) told.append(element("p", "You can skip these. One question is no proof, so do their practice:"), links(rest));
    } else {
      set.querySelector(".lines").hidden = false;
      told.append(element("p", take.length ? "What to look at is beside each answer. Read these lessons again:" : "Come back in a few days: what was right today has to be right on another day too."));
      if (take.length) told.append(links(take));
    }
    told.focus();
  });
})();
