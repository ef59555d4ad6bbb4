// Light of the page: follow the reader's system until the reader says otherwise.
(() => {
  const root = document.documentElement;
  const lamp = document.getElementById("gb-lamp");
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const now = () => root.dataset.light ?? (dark.matches ? "evening" : "day");
  const name = () => { lamp.textContent = now() === "evening" ? "Daylight" : "Evening light"; };
  if (lamp) {
    lamp.hidden = false;
    name();
    dark.addEventListener("change", name);
    lamp.addEventListener("click", () => {
      root.dataset.light = now() === "evening" ? "day" : "evening";
      try { localStorage.setItem("glossbook-light", root.dataset.light); } catch { /* private window */ }
      name();
    });
  }
  // The contents stand open beside the text where there is room for both.
  const fold = document.getElementById("gb-fold");
  const wide = matchMedia("(min-width: 62rem)");
  const place = () => { if (fold) fold.open = wide.matches; };
  place();
  wide.addEventListener("change", place);
  // Code and tables wider than the page can be moved sideways by keyboard too, and a table says so.
  const reach = () => document.querySelectorAll("article :is(pre, .gb-table)").forEach((one) => {
    const wide = one.scrollWidth > one.clientWidth;
    wide ? one.setAttribute("tabindex", "0") : one.removeAttribute("tabindex");
    one.toggleAttribute("data-wide", wide);
  });
  reach();
  addEventListener("resize", reach);
  document.querySelectorAll("article details:not(.hide)").forEach((fold) => fold.addEventListener("toggle", reach));
  // On paper every fold is open but those that hold only how something is drawn.
  addEventListener("beforeprint", () => document.querySelectorAll("article details:not(.hide)").forEach((d) => { d.open = true; }));
})();
