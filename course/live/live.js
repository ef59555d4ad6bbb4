// Panels and practice in the reader's browser: opens the forms and shows what comes back from
// the course's own Python, which runs in worker.js.  No formula, range or marking rule is in
// here, and nothing is fetched before it is asked for.
"use strict";
{
  const script = document.currentScript;
  const base = new URL(".", script.src).href;
  const forms = [...document.querySelectorAll("form[data-live]")];
  const say = (form, text) => { form.querySelector(".gb-says").textContent = text; };
  // The quick way takes more bytes and less work; a reader who asked to spare bytes is heard.
  const file = location.protocol === "file:", spare = !file && navigator.connection?.saveData;
  const ways = JSON.parse(script.dataset.ways), quick = "quick" in ways && !spare;
  const way = quick ? ways.quick : ways.plain;
  // From a file, what comes unasked; from a site the worker fetches for itself.
  const where = { base, file, quick, coming: file ? new Set(way.carried) : undefined };
  const tooOld = "This browser is too old to calculate here. A newer one can.";
  const old = !("WebAssembly" in window) || !("noModule" in HTMLScriptElement.prototype)
    || !("DecompressionStream" in window);
  if (old) for (const form of forms) say(form, tooOld);

  // A script may be loaded where nothing may be fetched; it leaves what it has on its element.
  const bring = (name) => new Promise((done, fail) => {
    const place = document.createElement("script");
    place.src = base + name;
    place.onload = () => { done(place.carried); place.remove(); };
    place.onerror = () => fail(new Error(`${name} is not there`));
    document.head.append(place);
  });

  // One worker for the whole page, started when somebody touches a form.
  let started, number = 0, ready = false, modules = true;
  const waiting = new Map();
  const give = (data) => { waiting.get(data.number)?.(data); waiting.delete(data.number); };
  const stop = (why) => {
    console.error("live:", why);
    started?.then((worker) => worker.terminate(), () => {});
    started = undefined;
    ready = false;
    for (const n of [...waiting.keys()]) give({ number: n, lost: true });
  };
  const fromText = (work) => new Worker(URL.createObjectURL(new Blob([`(${work})()`], { type: "text/javascript" })));
  const fromSite = () => {
    modules = false; // a browser that knows of module workers looks at the type
    return new Worker(`${base}worker.js`, { get type() { modules = true; return "module"; } });
  };
  const start = async () => {
    const worker = file ? fromText(await bring("worker.js")) : fromSite();
    const carry = (name) => bring(`carried/${name}.js`).then((text) => worker.postMessage({ carries: name, text }), stop);
    where.coming?.forEach(carry);
    worker.onerror = (event) => stop(event.message || "the worker did not start");
    worker.onmessage = ({ data }) => {
      if (data.got) progress(data.got / way.bytes);
      else if (data.wants) carry(data.wants);
      else if (data.stopped) stop(data.stopped);
      else { ready = true; give(data); }
    };
    return worker;
  };
  const ask = (call, fresh) => new Promise((done) => {
    const mine = ++number;
    waiting.set(mine, done);
    fresh?.(mine);
    (started ??= start()).then((worker) => worker.postMessage({ number: mine, call, where }), stop);
  });
  const progress = (share) => {
    for (const bar of document.querySelectorAll(".gb-says progress")) bar.value = Math.min(share, 1);
  };
  const wait = (form) => {
    if (ready || form.querySelector("progress")) return;
    say(form, file ? "Getting the calculator. " : `Getting the calculator, about ${way.download}, once. `);
    const bar = document.createElement("progress");
    bar.setAttribute("aria-label", "Fetched");
    form.querySelector(".gb-says").append(bar);
  };
  const failed = (data) => {
    if (!data.lost) return "Sorry, our fault: nothing could be worked out. Try other numbers.";
    return modules ? "The calculator could not be fetched or started. Look at the connection, then change a number or ask again. In an old browser it can't start." : tooOld;
  };
  const warm = (form) => {
    if (ready || started) return;
    wait(form);
    ask(["ready"]).then((data) => say(form, data.answer ? form.dataset.can : failed(data)));
  };

  const open = (form) => {
    form.querySelector(".gb-boxes").disabled = false;
    // Boxes and buttons call for an answer; whoever opens a fold beside them only reads.
    for (const part of form.querySelectorAll(".gb-boxes, .gb-acts")) {
      for (const kind of ["focusin", "pointerdown"]) part.addEventListener(kind, () => warm(form), { once: true });
    }
    if (form.classList.contains("gb-run")) rehearse(form);
    else form.classList.contains("gb-panel") ? panel(form) : practice(form);
  };
  if (!old) {
    forms.forEach(open);
    document.addEventListener("card", ({ target }) => open(target)); // one that came later
  }

  // The dry run has a script of its own, fetched where a page has one.
  function rehearse(form) {
    const key = `glossbook-run ${new URL("../../..", base).pathname}${form.dataset.short ? ` ${form.dataset.short}` : ""}`;
    bring("dry_run.js").then(
      (run) => run(form, { ask, say, wait, failed, key }),
      () => say(form, failed({ lost: true })));
  }

  function panel(form) {
    const answer = form.querySelector(".gb-answer");
    let timer, latest;
    say(form, form.dataset.can = "Change a number, with its unit, and the answer follows.");
    const compute = async () => {
      clearTimeout(timer);
      wait(form);
      let mine;
      const values = Object.fromEntries(new FormData(form));
      const data = await ask(["panel", form.dataset.live, values], (n) => { mine = latest = n; });
      if (mine !== latest) return; // a later question is on its way
      const faults = data.answer?.faults ?? {};
      for (const box of form.querySelectorAll("[name]")) {
        const text = faults[box.name] ?? "", place = document.getElementById(`${box.id}-fault`);
        if (!place) continue;
        if (place.textContent !== text) place.textContent = text;
        text ? box.setAttribute("aria-invalid", "true") : box.removeAttribute("aria-invalid");
        if (text) box.closest("details")?.setAttribute("open", "");
      }
      const several = Object.keys(faults).length;
      if (!data.answer) answer.innerHTML = "";
      else if (!several) answer.innerHTML = data.answer.html;
      else answer.textContent = faults[""] ?? "No answer yet: look at what is said beside the number.";
      answer.classList.toggle("gb-none", several > 0);
      say(form, data.answer ? form.dataset.can : failed(data));
    };
    form.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(compute, 150); });
    form.addEventListener("submit", (event) => { event.preventDefault(); compute(); });
  }

  function practice(form) {
    const asked = form.querySelector(".gb-asked"), id = form.dataset.live;
    let set = Number(form.dataset.set ?? 1), turn = 0; // which numbers stand there, and how often what stands there changed
    form.querySelector(".gb-acts").hidden = false;
    say(form, form.dataset.can = "");
    const clear = () => {
      turn += 1;
      form.querySelectorAll(".gb-verdict").forEach((place) => { place.textContent = ""; delete place.dataset.word; });
    };
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      wait(form);
      const given = new FormData(form), answers = {}, mine = turn;
      for (const name of new Set(given.keys())) answers[name] = given.getAll(name).join(", ");
      const data = await ask(["judge", id, set, answers]);
      if (data.answer && mine !== turn) return say(form, "This was changed meanwhile. Have it read again.");
      say(form, data.answer ? "" : failed(data));
      for (const [key, verdict] of Object.entries(data.answer?.verdicts ?? {})) {
        const place = form.querySelector(`[data-verdict="${key}"]`), word = document.createElement("strong");
        if (!place) continue;
        word.textContent = verdict.word;
        place.dataset.word = verdict.word;
        place.replaceChildren(word, ` ${verdict.says}`);
      }
      tell(data.answer ? "judged" : "lost", { set, answers, verdicts: data.answer?.verdicts });
    });
    const tell = (what, detail) => form.dispatchEvent(new CustomEvent(what, { bubbles: true, detail }));
    const renumber = async (next) => {
      wait(form);
      const data = await ask(["practice", id, next]);
      if (next <= set) return; // pressed twice
      if (data.answer) {
        set = next;
        turn += 1;
        asked.innerHTML = data.answer.html;
        asked.querySelector(".gb-boxes").disabled = false;
        dispatchEvent(new Event("resize")); // another table may have come
      }
      say(form, data.answer ? "The question has other numbers now." : failed(data));
      if (data.answer) tell("renumbered", { set });
    };
    form.querySelector("[data-other]").addEventListener("click", () => renumber(set + 1));
    form.addEventListener("numbers", ({ detail }) => renumber(detail)); // as they stood last time
    form.addEventListener("input", clear);
    form.addEventListener("click", ({ target }) => {
      const step = target.closest("[data-by]") && target.closest("li");
      if (!step) return;
      const other = Number(target.dataset.by) < 0 ? step.previousElementSibling : step.nextElementSibling;
      if (other) Number(target.dataset.by) < 0 ? other.before(step) : other.after(step);
      target.focus();
      const steps = [...step.parentElement.children];
      step.closest(".gb-part").querySelector("input").value = steps.map((one) => one.dataset.step).join(", ");
      clear();
      say(form, `Now step ${steps.indexOf(step) + 1} of ${steps.length}: ${step.firstElementChild.textContent}`);
    });
  }
}
