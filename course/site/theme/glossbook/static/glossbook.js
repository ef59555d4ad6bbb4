// All of this is extra: without it every page reads, links, unfolds and shows its code.
(() => {
  const root = document.documentElement, $ = (what) => [...document.querySelectorAll(what)];
  const keep = (name, value) => { try { localStorage.setItem(name, value); } catch { /* for this page only */ } };
  // Light of the page: follow the reader's system until the reader says otherwise.
  const light = document.getElementById("light"), dark = matchMedia("(prefers-color-scheme: dark)");
  const now = () => root.dataset.light ?? (dark.matches ? "evening" : "day");
  const name = () => { light.textContent = now() === "evening" ? "Daylight" : "Evening light"; };
  light.hidden = false;
  name();
  dark.addEventListener("change", name);
  light.addEventListener("click", () => {
    root.dataset.light = now() === "evening" ? "day" : "evening";
    keep("glossbook-light", root.dataset.light);
    name();
  });
  // One switch for the code of the whole site.
  const code = document.getElementById("show-code");
  if (code) {
    try { code.checked = JSON.parse(localStorage.getItem("glossbook-code")) ?? code.checked; } catch { /* as it came */ }
    code.addEventListener("change", () => keep("glossbook-code", code.checked));
  }
  // The contents: Escape shuts them; they are shut again where a page is shown from memory.
  const sheet = document.querySelector(".sheet");
  sheet.addEventListener("keydown", ({ key }) => {
    if (key === "Escape" && sheet.open) { sheet.open = false; sheet.firstElementChild.focus(); }
  });
  addEventListener("pageshow", ({ persisted }) => { if (persisted) sheet.open = false; });
  // A formula wider than a phone can be moved sideways by keyboard too.
  const reach = () => $(".gb-math").forEach((one, n) => {
    const wide = one.scrollWidth > one.clientWidth;
    one.toggleAttribute("tabindex", wide);
    if (!wide) return one.removeAttribute("role"), one.removeAttribute("aria-label");
    one.tabIndex = 0;
    one.setAttribute("role", "region");
    one.setAttribute("aria-label", `Formula ${n + 1}: ${one.closest("section, .further")?.querySelector("h1, h2, h3")?.firstChild.textContent ?? ""}`);
  });
  reach();
  addEventListener("resize", reach);
  $("details").forEach((fold) => fold.addEventListener("toggle", reach));
  // A link to a fold, or into one, opens it.
  const unfold = () => document.getElementById(decodeURIComponent(location.hash.slice(1)))?.closest(".further")?.setAttribute("open", "");
  unfold();
  addEventListener("hashchange", unfold);
  // On paper every fold is open but the worked solutions, which would stand under their questions.
  addEventListener("beforeprint", () => $("article details:not(.gb-worked)").forEach((one) => { one.open = true; }));
})();
