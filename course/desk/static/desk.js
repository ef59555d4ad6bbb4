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
      for (const [name, given] of [...held]) if (given instanceof File) held.delete(name);
      let answer;
      try {
        answer = await (await fetch(scheme.dataset.try, {
          method: "POST", body: held, headers: { "X-Word": held.get("word") },
        })).json();
      } catch { return; }
      if (mine !== asked) return;
      const put = (kind, letters, said) => {
        for (const slot of scheme.querySelectorAll("." + kind)) {
          const way = slot.id.slice(letters.length), now = said[way] || "";
          if (slot.textContent !== now) slot.textContent = now;
          for (let fold = slot.closest("details"); kind === "fault" && now && fold; fold = fold.parentElement.closest("details")) fold.open = true;
          const box = document.getElementById("at-" + way);
          if (kind !== "fault" || !box) continue;
          if (now) box.setAttribute("aria-invalid", "true"); else box.removeAttribute("aria-invalid");
        }
      };
      put("fault", "no-", answer.faults);
      put("read", "is-", answer.read);
      const many = answer.others.length, others = document.getElementById("others");
      if (others) {
        others.textContent = many
          ? `${many} to be put right before it can be saved. ` : "Nothing to put right; not saved yet.";
        const first = scheme.querySelector(".fault:not(:empty)");
        if (first) {
          const link = document.createElement("a");
          link.href = "#" + first.id;
          link.textContent = "The first";
          others.append(link);
        }
      }
      const told = document.getElementById("told");
      if (told) {
        told.hidden = !many;
        told.querySelector("ul").replaceChildren(...answer.others.map((line) => {
          const row = document.createElement("li"); row.textContent = line; return row;
        }));
      }
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

const photo = document.getElementById("picture");
if (photo) {
  const shown = document.getElementById("as-shown");
  const look = () => {
    shown.hidden = true;
    if (!photo.files.length) return;
    const reader = new FileReader();
    reader.onload = () => { shown.src = reader.result; shown.hidden = false; };
    reader.readAsDataURL(photo.files[0]);
  };
  photo.addEventListener("change", look);
  photo.closest(".drop").addEventListener("drop", look);
}

addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (/^(INPUT|SELECT|TEXTAREA)$/.test(event.target.tagName)) return;
  const to = document.querySelector(`[data-key="${CSS.escape(event.key.toLowerCase())}"]`);
  if (!to) return;
  event.preventDefault();
  if (to.tagName === "A") to.click(); else to.focus();
});
