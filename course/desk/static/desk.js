// The little that pages of the desk do by themselves: look again at work that runs, check a
// form while one types, take files that are dropped, and keys between matters.
"use strict";

const work = document.getElementById("work");
if (work && work.dataset.state === "running") {
  const again = async () => {
    try {
      const page = await (await fetch("/under-way")).text();
      const now = new DOMParser().parseFromString(page, "text/html").getElementById("work");
      if (now) {
        const said = work.querySelector(".said"), grown = now.querySelector(".said");
        if (said && grown) said.replaceWith(grown);
        const told = now.querySelector("[role=status]").textContent;
        const status = work.querySelector("[role=status]");
        if (status.textContent !== told) status.textContent = told;
        if (now.dataset.state !== "running") { location.reload(); return; }
      }
    } catch { /* the desk was closed: look again, it may come back */ }
    setTimeout(again, 1000);
  };
  setTimeout(again, 1000);
}

const scheme = document.getElementById("scheme");
if (scheme) {
  let later, asked = 0, changed = false;
  scheme.addEventListener("input", () => {
    changed = true;
    clearTimeout(later);
    later = setTimeout(async () => {
      const mine = ++asked;
      const held = new FormData(scheme);
      let answer;
      try {
        answer = await (await fetch(scheme.dataset.try, {
          method: "POST", body: held, headers: { "X-Word": held.get("word") },
        })).json();
      } catch { return; }
      if (mine !== asked) return;
      for (const slot of scheme.querySelectorAll(".fault")) {
        const way = slot.id.slice(3), said = answer.faults[way] || "";
        if (slot.textContent !== said) slot.textContent = said;
        const box = document.getElementById("at-" + way);
        if (said) box.setAttribute("aria-invalid", "true"); else box.removeAttribute("aria-invalid");
      }
      const others = document.getElementById("others");
      others.replaceChildren(...(answer.others.length ? answer.others : answer.beside).map((line) => {
        const row = document.createElement("p"); row.textContent = line; return row;
      }));
    }, 400);
  });
  scheme.addEventListener("submit", () => { changed = false; });
  addEventListener("beforeunload", (event) => { if (changed) event.preventDefault(); });
}

for (const drop of document.querySelectorAll(".drop")) {
  const box = drop.querySelector("input");
  for (const name of ["dragover", "dragleave", "drop"]) {
    drop.addEventListener(name, (event) => {
      event.preventDefault();
      drop.classList.toggle("over", name === "dragover");
      if (name === "drop" && event.dataTransfer.files.length) box.files = event.dataTransfer.files;
    });
  }
  box.addEventListener("change", () => {
    for (const other of document.querySelectorAll(".drop input")) if (other !== box) other.required = false;
  });
}

addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (/^(INPUT|SELECT|TEXTAREA)$/.test(event.target.tagName)) return;
  const to = document.querySelector(`[data-key="${CSS.escape(event.key.toLowerCase())}"]`);
  if (!to) return;
  event.preventDefault();
  if (to.tagName === "A") to.click(); else to.focus();
});
