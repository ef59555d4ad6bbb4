// A ladder of help: a first miss is told what it shows; a second is led to the claim and the picture of
// the lesson that matter; a third sees how the solution begins, and is offered other numbers.
"use strict";
(() => {
  const element = (kind, text, more = {}) => Object.assign(document.createElement(kind), { textContent: text }, more);

  // The section of this page; null where it is on another, undefined where a lesson has none of that name.
  function place(see) {
    const there = new URL(see, location.href);
    return there.pathname === location.pathname ? document.getElementById(decodeURIComponent(there.hash.slice(1))) ?? undefined : null;
  }

  function picture(section) {
    const figure = section && [...section.querySelectorAll("figure.gb-picture")].find((one) => !one.closest("form"));
    const copy = figure?.cloneNode(true);
    copy?.querySelectorAll("[id]").forEach((one) => one.removeAttribute("id"));
    return copy ?? null;
  }

  function help(form, off, words) {
    let told = form.querySelector(".gb-help");
    if (!told) {
      told = element("div", "", { className: "gb-help" });
      told.setAttribute("role", "status");
      form.querySelector(".gb-acts").before(told);
    }
    told.replaceChildren();
    const wrong = Object.keys(words).filter((key) => words[key] === "look again");
    const test = form.closest('.set:is([data-kind="check"], [data-kind="test"])');
    if (!wrong.length || off < 2 || test) return;
    const { see, claim } = form.dataset;
    const section = see && place(see);
    if (see && section !== undefined) {
      const line = element("p", "Read this again: ");
      line.append(element("a", claim, { href: see }));
      told.append(line);
      const shown = picture(section);
      if (shown) told.append(shown);
    }
    if (off < 3) return;
    const first = [...form.querySelectorAll(".gb-worked [data-part]")].filter((one) => wrong[0].startsWith(one.dataset.part)).at(-1)?.dataset.first;
    if (first) {
      const line = element("p", "With these numbers it begins like this: ");
      line.append(element("b", first));
      told.append(line);
    }
    const other = element("button", "Now the same with other numbers", { type: "button", className: "gb-button" });
    other.addEventListener("click", () => {
      form.querySelector("[data-other]").click();
      form.focus();
    });
    told.append(other);
  }

  document.addEventListener("kept", ({ target, detail: { off, verdicts } }) => {
    help(target, off, Object.fromEntries(Object.entries(verdicts).map(([key, { word }]) => [key, word])));
  });
  document.addEventListener("come-back", ({ target }) => {
    const { off, said } = glossbook.card(target);
    help(target, off, Object.fromEntries(Object.entries(said).map(([key, [word]]) => [key, word])));
  });
  document.addEventListener("renumbered", ({ target }) => target.querySelector(".gb-help")?.replaceChildren());
})();
