// Steps to be put in order: typed places, or moved up and down.
kinds.order = {
  answer(part) {
    const places = kinds.order.fields(part).map((f) => f.value.trim());
    if (places.every((p) => p === "")) return "";
    return places.map((_, n) => {
      const here = kinds.order.fields(part).filter((f) => f.value.trim() === String(n + 1));
      return here.length === 1 ? here[0].dataset.step : "?";
    }).join(", ");
  },
  fill(part, value) {
    for (const field of kinds.order.fields(part)) field.value = "";
    value.split(", ").forEach((step, n) => {
      const field = find(`place-${part.key}-${step}`);
      if (field) field.value = n + 1;
    });
  },
  look(part) {
    const written = kinds.order.answer(part);
    const all = kinds.order.fields(part);
    const twice = all.find((f) => f.value && all.some((g) => g !== f && g.value === f.value));
    const outside = all.find((f) => f.value && !(/^[0-9]+$/.test(f.value) && f.value >= 1 && f.value <= all.length));
    if (!written) tell(part.key, "");
    else if (outside) tell(part.key, `Places go from 1 to ${all.length}.`, true);
    else if (twice) tell(part.key, `Place ${twice.value} is given twice.`, true);
    else if (written.includes("?")) tell(part.key, "Give every step a place.", true);
    else tell(part.key, "It can be read. The steps in your order:", false, written);
    return !written ? "empty" : written.includes("?") || outside ? "unread" : "read";
  },
  fields: (part) => [...find("part-" + part.key).querySelectorAll(".steps input")]
    .sort((one, two) => one.dataset.step - two.dataset.step),
  start(part, block) {
    for (const button of block.querySelectorAll(".steps button")) {
      button.addEventListener("click", () => kinds.order.move(part, button, Number(button.dataset.by)));
    }
  },
  move(part, button, by) {
    const list = find("part-" + part.key).querySelector(".steps");
    const items = [...list.children];
    const at = (item) => Number(item.querySelector("input").value) || items.length + 1;
    const sorted = items.map((item, n) => [at(item), n, item]).sort((a, b) => a[0] - b[0] || a[1] - b[1]).map((x) => x[2]);
    const item = button.closest("li");
    const from = sorted.indexOf(item);
    const to = Math.min(sorted.length - 1, Math.max(0, from + by));
    sorted.splice(from, 1);
    sorted.splice(to, 0, item);
    list.append(...sorted);
    sorted.forEach((one, n) => { one.querySelector("input").value = n + 1; });
    button.focus();
    changed(part);
    find("said-" + part.key).textContent = `Step ${item.dataset.step} is now in place ${to + 1} of ${sorted.length}.`;
  },
};
