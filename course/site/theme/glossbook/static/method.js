// The method one step at a time, with the screen kept awake where the browser can.
(() => {
  const days = [...document.querySelectorAll(".gb-method")];
  let lock = null;
  const awake = async () => { try { lock = await navigator.wakeLock?.request("screen"); } catch { lock = null; } };
  const asleep = () => { lock?.release?.(); lock = null; };
  const button = (words, more = "") => `<button type="button" class="gb-button" ${more}>${words}</button>`;
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible" && document.documentElement.hasAttribute("data-one")) awake();
  });
  addEventListener("afterprint", () => document.documentElement.removeAttribute("data-sheet"));
  days.forEach((day) => {
    const steps = [...day.querySelectorAll(":scope > ol > li")];
    const key = `glossbook-step ${day.dataset.method}`;
    let now = 0, before = null;
    day.insertAdjacentHTML("afterbegin", `<div class="gb-method-acts">${button("One step at a time", "data-open")}${button("Print both days on one page", "data-print")}<span role="status"></span></div>`);
    day.insertAdjacentHTML("beforeend", `<div class="gb-turn">${button("Back", 'data-by="-1"')}${button("Next step", 'data-by="1"')}</div>`);
    const [open, print] = day.querySelectorAll(".gb-method-acts button");
    const told = day.querySelector("[role=status]");
    const [back, next] = day.querySelectorAll(".gb-turn button");
    const show = (place) => {
      now = Math.max(0, Math.min(place, steps.length - 1));
      steps.forEach((step, n) => step.toggleAttribute("data-now", n === now));
      steps[now].style.setProperty("--now", now + 1);
      told.textContent = `Step ${now + 1} of ${steps.length}`;
      back.disabled = now === 0;
      next.textContent = now === steps.length - 1 ? "Done" : "Next step";
      day.scrollTop = 0;
      const title = steps[now].querySelector(".gb-step");
      title.tabIndex = -1;
      title.focus({ preventScroll: true });
      try { sessionStorage.setItem(key, now); } catch { /* nothing is kept */ }
    };
    const close = () => {
      day.removeAttribute("data-one");
      document.documentElement.removeAttribute("data-one");
      open.textContent = "One step at a time";
      told.textContent = "";
      asleep();
      open.focus();
      steps[now].scrollIntoView();
    };
    open.addEventListener("click", () => {
      if (day.hasAttribute("data-one")) { close(); return; }
      before = null;
      try { before = sessionStorage.getItem(key); } catch { /* nothing is kept */ }
      day.setAttribute("data-one", "");
      document.documentElement.setAttribute("data-one", "");
      open.textContent = "All steps";
      awake();
      show(Number(before ?? 0));
    });
    day.addEventListener("click", (event) => {
      const by = Number(event.target.dataset?.by ?? 0);
      if (!by) return;
      if (by > 0 && now === steps.length - 1) { now = 0; try { sessionStorage.removeItem(key); } catch { /* nothing is kept */ } close(); return; }
      show(now + by);
    });
    day.addEventListener("keydown", (event) => {
      if (!day.hasAttribute("data-one")) return;
      if (event.key === "ArrowRight") show(now + 1);
      if (event.key === "ArrowLeft") show(now - 1);
      if (event.key === "Escape") close();
    });
    print.addEventListener("click", () => { document.documentElement.setAttribute("data-sheet", ""); window.print(); });
  });
})();
