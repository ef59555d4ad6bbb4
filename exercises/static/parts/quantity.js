// A number with its unit, read by the grammar of the strict reader.
kinds.quantity = {
  answer: (part) => find("answer-" + part.key).value.trim() && find("answer-" + part.key).value,
  fill: (part, value) => { find("answer-" + part.key).value = value; },
  look(part) {
    const field = find("answer-" + part.key);
    const got = readAnswer(field.value);
    field.setAttribute("aria-invalid", String(!got.ok && got.problem !== ""));
    if (got.ok && got.unit === null) {
      tell(part.key, "It can be read, but it has no unit. Reads as", false, got.number);
    } else if (got.ok) {
      const close = got.unit.startsWith("°") && got.unit.length === 1 ? "" : " ";
      tell(part.key, "It can be read. Reads as", false, got.number + close + got.unit);
    } else tell(part.key, `${got.problem} ${got.next}`.trim(), true);
    return got.ok ? "read" : got.problem ? "unread" : "empty";
  },
  area: (part) => find("answer-" + part.key),
};
