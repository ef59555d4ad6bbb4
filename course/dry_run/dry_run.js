// The dry run in the reader's browser: sends each action, shows what comes back, keeps the log
// on this device.  It knows no action, no number and no physics: all of that comes with answers.
// A page loads it as a script, from a file too, and takes the function off the script's element.
// A short run of a lesson is the same form with fewer parts, and waits until it is begun.
document.currentScript.carried = function run(form, { ask, say, wait, failed, key }) {
  const part = (name) => form.querySelector(`[data-${name}]`);
  const way = form.querySelector("#gb-way"), deed = form.querySelector("#gb-deed, [data-deed]");
  const short = form.dataset.short;
  let log = short ? { actions: [] } : { way: "guided", seed: "", actions: [] }, forms = [], busy = false;
  try { log = JSON.parse(localStorage.getItem(key)) ?? log; } catch { /* private window, or not ours */ }
  const which = form.querySelector("#gb-which"), student = form.querySelector("#gb-student");
  say(form, form.dataset.can = short ? "" : "Choose an action and do it.");

  const box = (spec) => {
    const line = document.createElement("p"), label = document.createElement("label");
    const field = document.createElement(spec.words ? "select" : "input");
    line.className = "gb-box";
    field.className = "gb-write";
    field.name = spec.name;
    field.id = label.htmlFor = `${deed.id}-${spec.name}`;
    label.textContent = spec.label;
    if (spec.words) field.append(...spec.words.map((word) => new Option(word)));
    else {
      field.inputMode = "decimal";
      field.value = spec.start;
    }
    line.append(label, " ", field);
    return line;
  };
  const boxes = () => {
    const chosen = forms.find((one) => one.do === deed.value);
    part("boxes").replaceChildren(...(chosen?.boxes ?? []).map(box));
  };
  const line = (text, kind) => {
    const told = document.createElement("p");
    if (kind) {
      const strong = document.createElement("strong");
      strong.textContent = `${kind}: `;
      told.append(strong);
    }
    told.append(text);
    return told;
  };
  let kept = "", sure = false; // the actions that a file holds; whether a run may be given up
  const show = (answer, does) => {
    log = answer.log;
    sure = false;
    if (part("sure")) part("sure").textContent = "";
    if (!short) stand();
    try { localStorage.setItem(key, JSON.stringify(log)); } catch { /* it lasts as long as the page */ }
    if (answer.forms.length) { // a run begins, or goes on from an earlier step
      const was = deed.value;
      forms = answer.forms;
      deed.replaceChildren(...[...new Set(forms.map((one) => one.group))].map((name) => {
        const group = document.createElement("optgroup");
        group.label = name;
        group.append(...forms.filter((one) => one.group === name).map((one) => new Option(one.says, one.do)));
        return group;
      }));
      if (forms.some((one) => one.do === was)) deed.value = was;
      boxes();
    }
    part("bench").innerHTML = answer.bench;
    if (answer.card) part("card").innerHTML = answer.card;
    part("clock").textContent = answer.clock;
    part("done").replaceChildren(...answer.done.map((text, n) => {
      const item = document.createElement("li"), back = document.createElement("button");
      back.type = "button";
      back.className = "gb-button";
      back.dataset.back = n;
      back.textContent = `Go back to before step ${n + 1}`;
      item.append(`${text} `, back);
      return item;
    }));
    const told = answer.said.map(([sense, words]) => line(words, sense));
    if (answer.stop) told.push(line(`${answer.stop} The run goes on from before.`, "Stop"));
    if (answer.refused) told.push(line(answer.refused, "That can't be done"));
    if (told.length) {
      part("said").replaceChildren(...told);
      part("said").insertAdjacentHTML("beforeend", answer.plate);
    }
    else if (does === null) part("said").replaceChildren();
    if (answer.waited) return part("waited").replaceChildren(answer.waited); // and all else stands
    part("waited")?.replaceChildren();
    part("ended").innerHTML = answer.end;
    if (short) {
      part("acting").hidden = false;
      part("choosing").hidden = answer.over;
      part("new").textContent = "Begin again";
    }
    if (answer.file) {
      kept = JSON.stringify(log.actions);
      give(answer.file, answer.file_name);
    }
    const next = part("next");
    next.hidden = !answer.next;
    if (answer.next) {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "gb-button gb-first";
      button.textContent = "Do this";
      button.addEventListener("click", () => act(answer.next.deed));
      const why = document.createElement("details"), asks = document.createElement("summary");
      asks.textContent = "Why? Answer first, then look";
      why.append(asks, line(answer.next.why));
      next.replaceChildren(line(answer.next.says, "Next"), ...(answer.next.why ? [why] : []), button);
    }
  };
  const act = async (does) => {
    if (busy) return;
    busy = true;
    wait(form);
    const data = await ask(short ? ["short_run", short, log, does] : ["dry_run", log, does]);
    busy = false;
    say(form, data.answer ? form.dataset.can : failed(data));
    if (!data.answer) return;
    const lost = part("next").contains(document.activeElement); // what had the focus goes
    show(data.answer, does);
    if (does?.do === "end" || (does && data.answer.over)) part("ended").focus();
    else if (does && !data.answer.waited) {
      if (lost) (part("next").querySelector("button") ?? deed).focus({ preventScroll: true });
      part("said").scrollIntoView({ block: "nearest" });
    }
  };
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const does = { do: deed.value };
    for (const { name, label, words } of forms.find((one) => one.do === deed.value)?.boxes ?? []) {
      const text = form.elements[name].value;
      does[name] = words ? text : Number(text.replace(",", "."));
      if (!words && (!text.trim() || Number.isNaN(does[name]))) {
        say(form, `This is not a number: ${label}.`);
        form.elements[name].focus();
        return;
      }
    }
    act(forms.length ? does : null);
  });
  deed.addEventListener("change", boxes);
  part("end")?.addEventListener("click", () => act({ do: "end" }));
  part("new").addEventListener("click", () => {
    if (short) {
      if (forms.length) log = { actions: [] };
      return act(null).then(() => deed.focus());
    }
    if (log.actions.length && kept !== JSON.stringify(log.actions) && !sure) {
      sure = true; // pressed once more, it begins
      const steps = log.actions.length === 1 ? "The one step" : `The ${log.actions.length} steps`;
      part("sure").textContent = `${steps} of this run would go. Save it as a file first, below, or press again to begin.`;
      return;
    }
    const seed = [...crypto.getRandomValues(new Uint8Array(6))].map((n) => n.toString(16)).join("");
    log = { way: way.value, seed, actions: [], run: which?.value ?? "", student: student.value };
    act(null);
  });
  form.addEventListener("click", ({ target }) => {
    const back = target.closest("[data-back]");
    if (!back) return;
    log = { ...log, actions: log.actions.slice(0, Number(back.dataset.back)), ahead: [] };
    act(null).then(() => deed.focus());
  });
  if (short) { // nothing to set, to load or to hand in
    if (log.actions.length) part("new").textContent = "Go on";
    return;
  }

  // Runs that were set, and files: chosen by name, saved to be handed in, loaded to go through.
  const stand = () => {
    way.value = log.way;
    student.value = log.student ?? "";
    if (which && [...which.options].some(({ value }) => value === (log.run ?? ""))) which.value = log.run ?? "";
    way.disabled = Boolean(which?.value);
  };
  const give = (text, name) => {
    const link = part("save");
    URL.revokeObjectURL(link.href);
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = name;
    link.click();
    say(form, `Saved as ${name}.`);
  };
  which?.addEventListener("change", () => { way.disabled = Boolean(which.value); });
  student.addEventListener("change", () => { log = { ...log, student: student.value }; });
  const keep = () => {
    log = { ...log, student: student.value };
    act({ do: "save" });
  };
  part("wait").addEventListener("click", () => {
    const [minutes, step] = ["minutes", "step"].map((name) => Number(part(`wait-${name}`).value.replace(",", ".")));
    act({ do: "wait", minutes, place: step - 1 });
  });
  part("keep").addEventListener("click", keep);
  student.addEventListener("keydown", (event) => { // it is in the form, and no action of the run
    if (event.key !== "Enter") return;
    event.preventDefault();
    keep();
  });
  form.querySelector("#gb-load").addEventListener("change", async ({ target }) => {
    const [file] = target.files;
    if (!file) return;
    const text = file.size > 1e6 ? "x".repeat(1e6) : await file.text();
    target.value = "";
    await act({ do: "load", file: text });
    part("said").scrollIntoView({ block: "nearest" });
  });

  stand();
  act(null);
};
