// What this device remembers of its reader: what was read and tried, day by day.  It is kept in
// one entry of the browser's own storage and sent nowhere; where nothing can be kept, it lasts
// as long as the page.  Other scripts ask `glossbook` for it.
"use strict";
const glossbook = (() => {
  const { course, page } = document.body.dataset, root = document.documentElement.dataset.content_root;
  const KEY = `glossbook-held ${course}`;
  const GAPS = [1, 3, 7, 14, 28]; // days until a question comes back, each time it was right
  const WORDS = ["not tried", "tried", "right on two days"];
  const DAY = /^[-~]?\d{4}-\d\d-\d\d$/;
  const $ = (what, where = document) => [...where.querySelectorAll(what)];
  const blank = () => ({ outcomes: {}, cards: {}, read: {}, asked: {}, place: null });

  // --- kept and read back -------------------------------------------------------------------

  let held = blank(), keeps = true;
  // Only what has the form that is written here is taken: storage and files can hold anything.
  const sound = (given) => {
    const out = blank(), thing = (what) => (what && typeof what === "object" && !Array.isArray(what) ? what : {});
    const texts = (what) => Object.fromEntries(Object.entries(thing(what)).filter(([, text]) => typeof text === "string"));
    for (const [name, days] of Object.entries(thing(given.outcomes))) {
      const good = Array.isArray(days) ? days.filter((day) => typeof day === "string" && DAY.test(day)) : [];
      if (good.length) out.outcomes[name] = good;
    }
    for (const [name, card] of Object.entries(thing(given.cards))) {
      const { set, off, seen, day } = thing(card);
      if (!Number.isInteger(set) || set < 1 || set > 1e6) continue;
      out.cards[name] = { set, off: Number(off) || 0, seen: seen === true, day: DAY.test(day) ? day : "", given: texts(card.given), said: {} };
      if (Object.keys(texts(card.draft)).length) out.cards[name].draft = texts(card.draft);
      for (const [key, said] of Object.entries(thing(card.said))) {
        if (Array.isArray(said) && said.length === 2 && said.every((text) => typeof text === "string")) out.cards[name].said[key] = said;
      }
    }
    out.read = texts(given.read);
    for (const [name, one] of Object.entries(thing(given.asked))) {
      const { day, three } = thing(one);
      const good = (row) => Array.isArray(row) && row.length === 2 && typeof row[0] === "string" && Number.isInteger(row[1]);
      if (DAY.test(day) && Array.isArray(three)) out.asked[name] = { day, three: three.map((row) => (good(row) ? row : null)) };
    }
    const { page: where, at, title, section } = texts(given.place);
    if (/^[\w/-]+$/.test(where) && title) out.place = { page: where, at: at ?? "", title, section: section ?? "" };
    return out;
  };
  const load = () => {
    try { held = sound(JSON.parse(localStorage.getItem(KEY)) ?? {}); } catch { if (keeps) held = blank(); }
  };
  const keep = (how) => {
    if (keeps) load(); // another page may have kept something meanwhile
    how(held);
    try { localStorage.setItem(KEY, JSON.stringify(held)); } catch { keeps = false; }
  };
  const change = (how) => {
    keep(how);
    draw();
  };
  try { localStorage.setItem("glossbook-try", ""); localStorage.removeItem("glossbook-try"); } catch { keeps = false; }
  load();
  addEventListener("storage", ({ key }) => { if (key === KEY || key === null) { load(); draw(); } });

  // --- days, states and what is due -------------------------------------------------------------

  const today = (at = new Date()) => [at.getFullYear(), at.getMonth() + 1, at.getDate()].map((n) => String(n).padStart(2, "0")).join("-");
  const plain = (day) => day.replace(/^[-~]/, "");
  const count = (day) => Date.parse(`${plain(day)}T00:00Z`) / 864e5;
  const said = (day) => new Date(`${plain(day)}T12:00`).toLocaleDateString("en-GB", { day: "numeric", month: "long" });
  const days = (outcome) => [...(held.outcomes[outcome] ?? [])].sort((a, b) => count(a) - count(b));
  const rights = (outcome) => [...new Set(days(outcome).filter((day) => /^\d/.test(day)))];
  const state = (outcome) => (rights(outcome).length > 1 ? 2 : days(outcome).length ? 1 : 0);
  // Each right day moves on to the next gap; a miss, or no right answer yet, goes back to the first.
  const next = (outcome, before = "9") => {
    const all = days(outcome).filter((day) => plain(day) < before);
    if (!all.length) return null;
    let step = -1;
    for (const day of new Set(all.map(plain))) {
      const right = all.includes(day) && !all.includes(`-${day}`);
      step = right ? Math.min(step + 1, GAPS.length - 1) : -1;
    }
    const last = plain(all.at(-1)), missed = all.includes(`-${last}`);
    return { outcome, last, missed, right: step >= 0, due: count(last) + GAPS[Math.max(step, 0)] - count(today()) };
  };
  // What slipped comes first, then what is longest overdue.
  const due = (among) => among.map((one) => next(one)).filter((one) => one && one.due <= 0)
    .sort((a, b) => a.right - b.right || a.due - b.due);
  const ago = (day) => {
    const n = count(today()) - count(day);
    return n < 1 ? "today" : n < 2 ? "yesterday" : `${n} days ago`;
  };
  const why = ({ last, missed, right }) => `${missed ? "missed" : right ? "last right" : "tried"} ${ago(last)}`;
  const note = (outcome, mark) => change(({ outcomes }) => {
    const all = (outcomes[outcome] ??= []), day = mark + today();
    if (!all.includes(day)) all.push(day);
  });

  // --- shown on every page ---------------------------------------------------------------------

  function draw() {
    for (const one of $("[data-o]")) {
      const states = one.dataset.o.split(" ").map(state);
      one.dataset.s = Math.min(...states) || (states.some(Boolean) ? 1 : 0);
      for (const word of $("[data-stated]", one)) word.textContent = `${word.dataset.stated}${WORDS[one.dataset.s]}`;
      for (const word of $("[data-days]", one)) {
        const all = days(one.dataset.o), last = all.at(-1);
        word.textContent = !last ? "" : `, ${last[0] === "-" ? "missed" : last[0] === "~" ? "last" : "right"} on ${said(last)}`;
      }
    }
    // A run of the rim is as long as what is right on two days in it; a try counts half.
    for (const run of $("[data-all]")) {
      const all = run.dataset.all.split(" ");
      run.style.setProperty("--held", (all.reduce((sum, one) => sum + state(one) / 2, 0) / all.length).toFixed(3));
    }
    const go = document.getElementById("go-on"), { place } = held;
    if (go) {
      go.hidden = !place;
      document.querySelector(".way:not(#go-on)")?.classList.toggle("now", !place);
      go.classList.toggle("now", !!place);
      if (place) {
        go.href = `${root}${place.page}.html${place.at ? `#${encodeURIComponent(place.at)}` : ""}`;
        go.querySelector("span").textContent = place.section ? `${place.title} At: ${place.section}` : place.title;
      }
    }
    document.dispatchEvent(new Event("remembered"));
  }

  // --- where the reader is ------------------------------------------------------------------------

  const words = (what) => [...what.childNodes].filter((one) => !one.classList?.contains("headerlink")).map((one) => one.textContent).join("").trim();
  const foot = document.querySelector(".along .next"), title = document.querySelector("h1");
  if (foot && "IntersectionObserver" in window) {
    const seen = new IntersectionObserver((all) => {
      for (const { target, isIntersecting } of all) {
        if (!isIntersecting) continue;
        if (target !== foot) {
          const at = target.closest("section")?.id || target.id;
          change((mem) => { mem.place = { page, at, title: words(title), section: words(target) }; });
        } else {
          const link = foot.querySelector("p:not(.soft) a[data-next]");
          change((mem) => {
            mem.read[page] ??= today();
            if (link) mem.place = { page: link.dataset.next, at: "", title: words(link), section: "" };
          });
        }
      }
    }, { rootMargin: "0px 0px -35% 0px" });
    $(".along h2").forEach((one) => seen.observe(one));
    seen.observe(foot);
  }

  // --- answers, kept and come back ------------------------------------------------------------------

  const name = (form) => `${page}#${form.id}`;
  const card = (form) => held.cards[name(form)];
  // What a lesson opens with is asked anew on another day.
  const lasts = (form, kept) => kept.day === today() || !form.closest(".along .back");
  const fill = (form) => {
    const { given, said, draft } = card(form), told = draft ? {} : said;
    for (const [key, text] of Object.entries(draft ?? given)) {
      const letters = text.split(", ");
      for (const box of $("[name]", form).filter((one) => one.name === key)) {
        if (box.type === "radio" || box.type === "checkbox") box.checked = letters.includes(box.value);
        else box.value = text;
        const list = box.type === "hidden" && box.closest("fieldset").querySelector("ol");
        if (list) letters.forEach((n) => { const step = $("li", list).find((li) => li.dataset.step === n); if (step) list.append(step); });
      }
    }
    for (const [key, [word, text]] of Object.entries(told)) {
      const place = $("[data-verdict]", form).find((one) => one.dataset.verdict === key);
      if (!place) continue;
      const strong = document.createElement("strong");
      strong.textContent = place.dataset.word = word;
      place.replaceChildren(strong, ` ${text}`);
    }
    form.dispatchEvent(new CustomEvent("come-back", { bubbles: true }));
  };
  // Answers to other numbers come back when their question is near; their numbers are drawn again.
  const awaited = new WeakSet(); // whose numbers are still on their way
  const back = (form) => {
    const kept = card(form);
    if (!kept || !Object.keys(kept.draft ?? kept.given).length || !lasts(form, kept)) return;
    if (kept.set === Number(form.dataset.set ?? 1)) { fill(form); return; }
    if (!("IntersectionObserver" in window)) return;
    awaited.add(form);
    const near = new IntersectionObserver(([{ isIntersecting }]) => {
      if (!isIntersecting) return;
      near.disconnect();
      form.addEventListener("renumbered", () => {
        awaited.delete(form);
        fill(form);
      }, { once: true });
      form.dispatchEvent(new CustomEvent("numbers", { detail: kept.set }));
    });
    near.observe(form);
  };
  addEventListener("DOMContentLoaded", () => $("form:is(.gb-practice, .gb-byhand)").forEach(back));
  document.addEventListener("card", ({ target }) => back(target));

  // What was written and not read yet is a draft: it outlasts a reload, and proves nothing.
  let written = null, timer;
  const drafted = () => {
    clearTimeout(timer);
    const form = written;
    written = null;
    if (!form?.isConnected || awaited.has(form)) return;
    const given = new FormData(form), draft = {};
    for (const key of new Set(given.keys())) draft[key] = given.getAll(key).join(", ");
    keep((mem) => {
      const before = mem.cards[name(form)], set = Number(form.dataset.set ?? 1);
      const now = before && lasts(form, before) ? before : { set, off: 0, seen: false, day: today(), given: {}, said: {} };
      mem.cards[name(form)] = { ...now, draft };
    });
  };
  const write = ({ target }) => {
    const form = target.closest("form:is(.gb-practice, .gb-byhand)");
    if (!form?.id) return;
    if (written !== form) drafted();
    clearTimeout(timer);
    written = form;
    timer = setTimeout(drafted, 300);
  };
  document.addEventListener("input", write);
  document.addEventListener("click", (event) => { if (event.target.closest("[data-by]")) write(event); }); // a step of an order
  addEventListener("pagehide", drafted);
  addEventListener("visibilitychange", drafted);

  document.addEventListener("judged", ({ target: form, detail: { set, answers, verdicts } }) => {
    const told = Object.entries(verdicts), got = told.map(([, { word }]) => word);
    const off = got.includes("look again"), right = got.length && got.every((word) => word === "agrees");
    if (!form.id || !got.some((word) => ["agrees", "near", "look again"].includes(word))) return;
    if (written === form) written = null; // it was read: no draft any more
    // A choice that came near was one part luck: what follows is no proof.
    const picked = told.some(([key, { word }]) => word === "near" && !form.querySelector(`input[type=text][name="${key}"]`));
    let clean, fresh, old;
    change((mem) => {
      const before = mem.cards[name(form)], same = before?.set === set && lasts(form, before);
      const now = (mem.cards[name(form)] = { set, off: same ? before.off : 0, seen: same && before.seen, day: today(), given: answers, said: {} });
      old = same && before.day !== today() && Object.keys(before.given).length > 0; // it only came back
      clean = now.off === 0 && !now.seen && !old;
      fresh = !same || JSON.stringify(before.given) !== JSON.stringify(answers);
      if ((off || picked) && fresh) now.off += 1;
      for (const [key, { word, says }] of told) now.said[key] = [word, says];
    });
    // Right is what was right before anything was shown; a second look at the same numbers is a try.
    if (form.dataset.o && (fresh || !old)) note(form.dataset.o, off ? "-" : right && clean ? "" : "~");
    form.dispatchEvent(new CustomEvent("kept", { bubbles: true, detail: { set, off: card(form).off, verdicts } }));
  });
  document.addEventListener("renumbered", ({ target: form, detail: { set } }) => {
    if (card(form)?.set === set) return;
    change((mem) => { mem.cards[name(form)] = { set, off: 0, seen: false, day: today(), given: {}, said: {} }; });
  });
  // What makes a right answer to these numbers no proof: a look at the solution, a wrong way taken.
  const spoil = (form, how) => {
    const set = card(form)?.set ?? Number(form.dataset.set ?? 1);
    change((mem) => Object.assign((mem.cards[name(form)] ??= { set, off: 0, seen: false, day: today(), given: {}, said: {} }), how));
  };
  document.addEventListener("toggle", ({ target }) => {
    const form = target.matches?.(".gb-worked[open]") && target.closest("form.gb-practice");
    if (form) spoil(form, { seen: true });
  }, true);

  // A link can lead to an outcome: to its question on this page that was answered least.
  const lead = () => {
    const outcome = /^#to-([\w-]+)$/.exec(location.hash)?.[1];
    const forms = $("form.gb-practice").filter((form) => form.dataset.o === outcome && !form.closest(".back"));
    forms.sort((a, b) => Object.keys(card(a)?.said ?? {}).length - Object.keys(card(b)?.said ?? {}).length);
    const [form] = forms, kept = form && card(form);
    form?.scrollIntoView();
    form?.focus({ preventScroll: true });
    if (kept && kept.day < today()) form.dispatchEvent(new CustomEvent("numbers", { detail: kept.set + 1 }));
  };
  addEventListener("hashchange", lead);
  addEventListener("DOMContentLoaded", () => { draw(); lead(); });
  return {
    GAPS, WORDS, course, root, page, words, sound, today, said, days, rights, state, next, due, why, note, change, spoil, draw, card,
    key: KEY,
    get held() { return held; },
    get keeps() { return keeps; },
    order: () => $(".sheet .columns li[data-o]").map((li) => ({ page: li.querySelector("a").dataset.page, title: li.querySelector("a").firstChild.textContent, outcomes: li.dataset.o.split(" ") })),
  };
})();
