"use strict";

// The page's own part: it keeps what is typed, says how a number was understood, works the
// calculator, and saves the answers. It reads the questions from the page's elements, and knows
// nothing of right and wrong. The parts that it stands on are numbers.js, calculator.js, keep.js and
// answer_text.js.

(() => {
  const {lesson, student, stamp} = document.body.dataset;
  const EMPTY = "-"; // stands in a saved text for a box that was left empty
  const at = (id) => document.getElementById(id);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const made = (name, attributes = {}, words = "") => {
    const element = Object.assign(document.createElement(name), attributes);
    if (words) element.textContent = words;
    return element;
  };

  const questions = all(".question");
  const readings = all(".reading");
  const boxesOf = (part) => all("input[data-unit]", part);
  const workingOf = (question) => at(`${question.id}.working`);
  const titleOf = (question) =>
    `${question.querySelector(".badge").textContent}. ${question.querySelector(".title").textContent}`;

  const givenOf = (question) =>
    all(".given div", question).map((row) => all("dt, dd", row).map((part) => part.textContent).join(": ")).join(" · ");

  // ---- what is kept ---------------------------------------------------------------------------

  // answers, working and readings are what stands in the page now; saved has one entry for each copy
  let state = {answers: {}, working: {}, readings: {}, saved: [], typed: ""};
  let place = null; // where it is kept, once that is open

  function answerOf(question) {
    if (question.dataset.kind === "choice") {
      const chosen = question.querySelector("input:checked");
      return chosen ? [chosen.value] : [];
    }
    if (question.dataset.kind === "order")
      return all(".chosen li", question).map((entry) => entry.dataset.entry).filter(Boolean);
    if (question.dataset.kind === "written") return linesOf(question.querySelector(".words").value);
    const boxes = boxesOf(question).map((box) => box.value.trim());
    return boxes.some(Boolean) ? boxes : [];
  }

  function linesOf(words) {
    // where Python parts lines, so that the text is read as it was written
    return words.trim() ? words.split(/\r\n|[\n\v\f\r\x1c-\x1e\x85\u2028\u2029]/) : [];
  }

  function look() {
    const {saved, typed} = state;
    state = {answers: {}, working: {}, readings: {}, saved, typed};
    for (const question of questions) {
      const {id} = question.dataset;
      state.answers[id] = answerOf(question);
      if (workingOf(question)) state.working[id] = linesOf(workingOf(question).value);
    }
    for (const line of readings)
      state.readings[line.dataset.id] = boxesOf(line).map((box) => box.value.trim());
  }

  function changed() {
    look();
    state.typed = new Date().toISOString();
    keep();
    showHandIn();
  }

  async function keep() {
    if (!place) return;
    try {
      await place.put(state);
      showKept(keptWords());
    } catch (error) {
      showKept(error.message, "odd");
    }
  }

  function showKept(words, look = "") {
    at("kept").className = look;
    at("kept").textContent = words;
  }

  // what is being typed keeps its place, where nothing has changed but the spaces at its ends
  function write(box, words) {
    if (box.value.trim() !== words.trim()) box.value = words;
  }

  function fill(kept) {
    state = {...state, ...kept};
    for (const question of questions) {
      const {id} = question.dataset;
      const boxes = state.answers[id] || [];
      if (question.dataset.kind === "choice")
        for (const option of all("input", question)) option.checked = boxes.includes(option.value);
      else if (question.dataset.kind === "order") layOrder(question, boxes);
      else if (question.dataset.kind === "written")
        write(question.querySelector(".words"), boxes.join("\n"));
      else boxesOf(question).forEach((box, n) => write(box, boxes[n] || ""));
      if (workingOf(question)) showWorking(question, state.working[id] || []);
      showChoice(question);
    }
    for (const line of readings)
      boxesOf(line).forEach((box, n) => write(box, (state.readings[line.dataset.id] || [])[n] || ""));
    boxesOf(document).forEach(say);
    all("textarea").forEach(grow);
    showHandIn();
  }

  async function open() {
    try {
      place = await Keep.open(Keep.name(lesson, student, stamp), untouched);
    } catch (error) {
      showKept(error.message, "odd");
      return;
    }
    place.watch(fill);
    const early = Boolean(state.typed); // before it was open
    const kept = place.get();
    if (kept) fill(early ? Keep.merged(untouched, state, kept) : kept);
    if (early) keep();
    else showKept(keptWords());
  }

  const keptWords = () =>
    state.typed ? `Kept on this device, ${clock(state.typed)}.` : "Nothing is typed yet.";

  // ---- boxes ----------------------------------------------------------------------------------

  const understood = (box) => Numbers.understand(box.value, box.dataset.unit, "bare" in box.dataset);

  function say(box) {
    const {says, odd} = understood(box);
    const line = at(`${box.id}.says`);
    line.textContent = says;
    line.className = odd ? "says odd" : "says";
    if (odd) box.setAttribute("aria-invalid", "true");
    else box.removeAttribute("aria-invalid");
  }

  function grow(area) {
    area.style.height = "auto";
    if (area.scrollHeight) area.style.height = `${area.scrollHeight + 4}px`;
  }

  function showChoice(question) {
    const none = question.querySelector(".none");
    if (none) none.hidden = !question.querySelector("input:checked");
  }

  document.addEventListener("input", ({target}) => {
    if (target.closest("#calculator") || target.id === "text") return;
    if (target.matches("textarea")) grow(target);
    if (target.dataset.unit) say(target);
    if (target.type === "radio") showChoice(target.closest(".question"));
    changed();
  });

  for (const none of all(".none"))
    none.addEventListener("click", () => {
      const question = none.closest(".question");
      for (const option of all("input", question)) option.checked = false;
      question.querySelector("input").focus();
      showChoice(question);
      changed();
    });

  // ---- an order -------------------------------------------------------------------------------

  function layOrder(question, entries) {
    const places = all(".chosen li", question);
    places.forEach((line, n) => layEntry(line, entries[n], n, entries.length));
    for (const button of all(".pool button", question))
      button.hidden = entries.includes(button.dataset.entry);
  }

  function layEntry(line, entry, n, count) {
    line.replaceChildren();
    line.dataset.entry = entry || "";
    if (!entry) return;
    line.append(made("span", {className: "which"}, `${n + 1}. ${entry}`));
    for (const [sign, what, words, idle] of [
      ["↑", "up", "up", n === 0],
      ["↓", "down", "down", n === count - 1],
      ["×", "out", "out of the order", false],
    ]) {
      const button = made("button", {type: "button", disabled: idle}, sign);
      button.dataset.move = what;
      button.setAttribute("aria-label", `${entry}: ${words}`);
      line.append(button);
    }
  }

  function moved(entries, n, move) {
    const others = entries.filter((_, i) => i !== n);
    if (move !== "out") others.splice(move === "up" ? n - 1 : n + 1, 0, entries[n]);
    return others;
  }

  function order(question, entries, words) {
    layOrder(question, entries);
    question.querySelector(".says").textContent = words;
    changed();
  }

  for (const question of questions.filter((one) => one.dataset.kind === "order"))
    question.querySelector(".order").addEventListener("click", ({target}) => {
      const entries = answerOf(question);
      if (target.closest(".pool") && target.dataset.entry) {
        const {entry} = target.dataset;
        order(question, [...entries, entry], `${entry} is number ${entries.length + 1}.`);
        const next = question.querySelector(".pool button:not([hidden])");
        (next || all(".chosen button:enabled", question)[0]).focus();
      } else if (target.dataset.move) {
        const {entry} = target.closest("li").dataset;
        const {move} = target.dataset;
        const now = moved(entries, entries.indexOf(entry), move);
        const where = now.indexOf(entry) + 1;
        order(question, now, where ? `${entry} is number ${where}.` : `${entry} is out of the order.`);
        const line = all(".chosen li", question)[now.indexOf(entry)];
        const pool = all(".pool button", question).find((one) => one.dataset.entry === entry);
        const same = line && line.querySelector(`[data-move="${move}"]:enabled`);
        (line ? same || line.querySelector("button:enabled") : pool).focus();
      }
    });

  // ---- the working ----------------------------------------------------------------------------

  function showWorking(question, lines, shown = lines.length > 0) {
    const area = workingOf(question);
    area.value = lines.join("\n");
    area.closest(".working").hidden = !shown;
    question.querySelector(".write-down").hidden = shown;
    grow(area);
  }

  function addStep(question, step) {
    showWorking(question, [...linesOf(workingOf(question).value), step]);
    changed();
  }

  for (const question of questions.filter(workingOf)) {
    question.querySelector(".write-down").addEventListener("click", () => {
      showWorking(question, [], true);
      workingOf(question).focus();
    });
    question.querySelector(".take-back").addEventListener("click", () => {
      const lines = linesOf(workingOf(question).value).slice(0, -1);
      showWorking(question, lines);
      (lines.length ? workingOf(question) : question.querySelector(".write-down")).focus();
      changed();
    });
  }

  // ---- the calculator -------------------------------------------------------------------------

  // what stands on a key, what it types, and its name where that is not what stands on it
  const KEYS = [
    ["sin", "sin(", "sine"], ["cos", "cos(", "cosine"], ["tan", "tan(", "tangent"],
    ["√", "√(", "root"], ["x²", "²", "squared"],
    ["sin⁻¹", "asin(", "inverse sine"], ["cos⁻¹", "acos(", "inverse cosine"],
    ["tan⁻¹", "atan(", "inverse tangent"], ["(", "("], [")", ")"],
    ["7", "7"], ["8", "8"], ["9", "9"], ["÷", " ÷ ", "divided by"], ["⌫", null, "take the last sign out"],
    ["4", "4"], ["5", "5"], ["6", "6"], ["×", " × ", "times"], ["C", null, "clear"],
    ["1", "1"], ["2", "2"], ["3", "3"], ["−", " − ", "minus"], ["π", "π", "pi"],
    ["0", "0"], [".", ".", "decimal point"], ["^", "^", "to the power of"], ["+", " + ", "plus"],
    ["last", null],
  ];
  const sum = at("sum");
  const into = at("into");
  let asking = null; // the question that the calculator works for
  let lastBox = null;
  let lastResult = "";

  for (const [sign, types, name] of KEYS) {
    const key = made("button", {type: "button"}, sign);
    if (name) key.setAttribute("aria-label", name);
    key.addEventListener("click", () => press(sign, types));
    at("keys").append(key);
  }

  function press(sign, types) {
    const [from, to] = [sum.selectionStart, sum.selectionEnd];
    if (sign === "C") sum.value = "";
    else if (sign === "⌫") {
      const [key] = /[a-z√]+\($| \S $|.?$/.exec(sum.value.slice(0, from)); // what the last key typed
      sum.setRangeText("", from < to ? from : from - key.length, to, "end");
    } else sum.setRangeText(sign === "last" ? lastResult : types, from, to, "end");
    showResult();
  }

  function showResult() {
    const found = Calculator.work(sum.value);
    at("result").textContent = found.says;
    at("result").className = found.value === null ? "how" : "";
    for (const id of ["keep", "put"]) at(id).disabled = found.value === null || !asking;
    return found;
  }

  // ten digits are more than any box needs, and hide what a computer's arithmetic leaves behind
  function digits(value) {
    const plain = String(Number(value.toPrecision(10)));
    return /\d,|,\d/.test(sum.value) ? plain.replace(".", ",") : plain;
  }

  // a box of this question, or its first one
  function workFor(question, box) {
    const same = asking === question;
    asking = question;
    if (!same)
      into.replaceChildren(...boxesOf(question).map((one) => {
        const label = question.querySelector(`label[for="${one.id}"]`).textContent;
        return made("option", {value: one.id}, label);
      }));
    if (box) into.value = box.id;
    for (const part of [into, into.previousElementSibling]) part.hidden = into.options.length < 2;
    at("calculator-for").textContent = titleOf(question);
    at("calculator-given").textContent = givenOf(question);
    showResult();
  }

  function openCalculator(question) {
    const box = lastBox && question.contains(lastBox) ? lastBox : boxesOf(question)[0];
    workFor(question, box);
    at("calculator").classList.add("open");
    document.documentElement.classList.add("calculating");
    if (getComputedStyle(at("calculator")).bottom === "0px") question.scrollIntoView({block: "start"});
    sum.focus({preventScroll: true});
  }

  function shut() {
    at("calculator").classList.remove("open");
    document.documentElement.classList.remove("calculating");
    if (asking) at(into.value).focus();
  }

  function takeResult(put) {
    const {value, says} = showResult();
    if (value === null || !asking) return;
    lastResult = digits(value);
    if (put) {
      const box = at(into.value);
      box.value = lastResult;
      say(box);
    }
    sum.value = put ? "" : lastResult;
    addStep(asking, says);
    showResult();
    at("result").textContent = put ? `${lastResult} is in the box.` : "The step is in your working.";
  }

  document.addEventListener("focusin", ({target}) => {
    const question = target.closest(".question");
    if (!question || !target.dataset.unit) return;
    lastBox = target;
    workFor(question, target);
  });
  for (const button of all(".calculate"))
    button.addEventListener("click", () => openCalculator(button.closest(".question")));
  sum.addEventListener("input", showResult);
  sum.addEventListener("keydown", (event) => {
    if (event.key === "Enter") takeResult(true);
  });
  at("calculator").addEventListener("keydown", (event) => {
    if (event.key === "Escape") shut();
  });
  at("shut").addEventListener("click", shut);
  at("put").addEventListener("click", () => takeResult(true));
  at("keep").addEventListener("click", () => takeResult(false));
  // a thumb types with the keys here; the device's own keyboard would cover them
  if (matchMedia("(pointer: coarse)").matches) sum.inputMode = "none";

  // ---- handing in -----------------------------------------------------------------------------

  const utc = (moment) => `${moment.toISOString().slice(0, 16).replace("T", " ")} UTC`;
  const clock = (iso) => new Date(iso).toLocaleTimeString("en-GB", {hour: "2-digit", minute: "2-digit"});
  const day = (iso) =>
    new Date(iso).toLocaleDateString("en-GB", {weekday: "long", day: "numeric", month: "long"});
  const last = () => state.saved[state.saved.length - 1];
  const isCurrent = () => Boolean(last() && last().typed === state.typed);

  const filled = (parts) => Object.entries(parts).filter(([, lines]) => lines.some(Boolean));
  const marked = (boxes) => boxes.map((box) => box || EMPTY);

  function answersAsText(copy, when) {
    return AnswerText.written({
      lesson, student, stamp, saved: utc(new Date(when)), copy: String(copy),
      answers: filled(state.answers).map(([id, lines]) => [id, laid(id, lines)]),
      working: filled(state.working),
      readings: filled(state.readings).map(([id, boxes]) => [id, marked(boxes)]),
    });
  }

  // free words as they are; an order that is not complete has empty places at its end
  function laid(id, lines) {
    const question = at(`q-${id}`);
    if (question.dataset.kind === "written") return lines;
    const places = all(".chosen li", question).length;
    return marked([...lines, ...Array(Math.max(0, places - lines.length)).fill("")]);
  }

  // the copy that was saved last, if nothing was typed since; else the next one
  function copyNow(next) {
    if (next || !isCurrent())
      state.saved = [...state.saved, {
        copy: 1 + Math.max(0, ...state.saved.map(({copy}) => copy)),
        when: new Date().toISOString(),
        typed: state.typed,
        how: [],
      }];
    return last();
  }

  function note(one, how) {
    if (!one.how.includes(how)) one.how.push(how);
    keep();
    showHandIn();
  }

  at("save").addEventListener("click", () => {
    look();
    const one = copyNow(true);
    const name = `${lesson}-${student}-${one.copy}.txt`;
    const file = new Blob([answersAsText(one.copy, one.when)], {type: "text/plain"});
    const link = made("a", {href: URL.createObjectURL(file), download: name});
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
    note(one, `as ${name}`);
    tell(`Look among your downloads for ${name}. If it isn't there, choose Copy to send.`);
  });

  at("send").addEventListener("click", async () => {
    look();
    const one = copyNow(false);
    const text = answersAsText(one.copy, one.when);
    try {
      await navigator.clipboard.writeText(text);
      note(one, "copied to send");
      tell("The text is copied. Paste it into a mail or a message to your instructor.");
      at("by-hand").hidden = true;
    } catch {
      at("text").value = text;
      at("by-hand").hidden = false;
      at("text").focus();
      at("text").select();
      note(one, "shown to be copied");
      tell("This browser doesn't copy by itself. Copy the text below and paste it into a message.");
    }
  });

  const tell = (words) => (at("told").textContent = words);

  // a number that wants a second look for its comma is read all the same
  function isUnread(box) {
    const {value, odd} = understood(box);
    return odd && value === null;
  }

  function isPartial(question) {
    const answer = answerOf(question);
    if (!answer.length) return false;
    if (question.dataset.kind === "order")
      return answer.length < all(".chosen li", question).length;
    return boxesOf(question).some((box) => !box.value.trim());
  }

  function listLinks(words, some) {
    if (!some.length) return;
    const list = at("open-ones");
    list.append(` ${words}: `);
    some.forEach((question, n) => {
      const number = question.querySelector(".badge").textContent;
      const link = made("a", {href: `#${question.id}`, className: "number"}, number);
      link.setAttribute("aria-label", `Question ${titleOf(question)}`);
      list.append(...(n ? [" ", link] : [link]));
    });
    list.append(".");
  }

  function showHandIn() {
    const open = questions.filter((question) => !answerOf(question).some(Boolean));
    const done = questions.length - open.length;
    at("open-ones").textContent = `${done} of ${questions.length} questions have an answer.`;
    listLinks("Still empty", open);
    listLinks("Can't be read", questions.filter((question) => boxesOf(question).some(isUnread)));
    listLinks("Not complete", questions.filter(isPartial));
    at("saved").replaceChildren(...state.saved.map(({copy, when, how}) =>
      made("li", {}, `Copy ${copy}: ${day(when)}, ${clock(when)}, ${how.join(" and ")}`)));
    if (!last()) at("since").textContent = "Nothing yet.";
    else if (isCurrent()) at("since").textContent = "You have changed nothing since.";
    else at("since").textContent = "You have changed something since. Save again before you hand in.";
  }

  // ---- the beginning --------------------------------------------------------------------------

  document.documentElement.classList.add("runs");
  look();
  const untouched = state;
  const first = questions.find((question) => boxesOf(question).length);
  if (first) workFor(first);
  showHandIn();
  open();
})();
