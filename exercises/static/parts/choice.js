// Options to choose from, one or several.
kinds.choice = {
  answer: (part) => kinds.choice.boxes(part).filter((b) => b.checked).map((b) => b.value).join(", "),
  fill: (part, value) => {
    const chosen = value.split(", ");
    for (const box of kinds.choice.boxes(part)) box.checked = chosen.includes(box.value);
  },
  look(part) {
    const chosen = kinds.choice.answer(part);
    tell(part.key, chosen ? "Chosen:" : "", false, chosen);
    return chosen ? "read" : "empty";
  },
  boxes: (part) => [...find("part-" + part.key).querySelectorAll(".option input")],
  start(part, block) {
    block.querySelector(".none").addEventListener("click", () => { kinds.choice.fill(part, ""); changed(part); });
  },
};
