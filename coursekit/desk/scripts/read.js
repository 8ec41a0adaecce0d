// Gives scores by a key, keeps each at once, and goes on to the next answer.
"use strict";

const answers = [...document.querySelectorAll(".answer")];
const bar = document.getElementById("reading");
const left = document.getElementById("left");
const undo = document.getElementById("undo");
const next = document.getElementById("next");
const done = []; // what was given, for taking it back: answer, score and comment before
let line = Promise.resolve(); // one post after the other
let open = 0; // posts that are not answered yet

const form = (answer) => answer.querySelector("form");
const said = (answer, text, bad) => {
  const place = answer.querySelector(".kept");
  place.textContent = text;
  place.classList.toggle("error", Boolean(bad));
};
const pressed = (answer) => answer.querySelector('.score[aria-pressed="true"]');
const comment = (answer) => answer.querySelector("textarea");

function give(answer, score, {comment: text = comment(answer).value, remember = true} = {}) {
  const before = {answer, score: pressed(answer)?.value ?? "none", comment: comment(answer).dataset.kept};
  const waited = answer.classList.contains("open");
  if (score !== "keep" && score !== "none") answer.classList.remove("open");
  said(answer, "…");
  open += 1;
  line = line.then(() => post(answer, score, text, waited)).then((kept) => {
    open -= 1;
    if (kept && remember && score !== "keep") {
      done.push(before);
      undo.hidden = false;
    }
  });
  return line;
}

async function post(answer, score, text, waited) {
  const fields = new URLSearchParams(new FormData(form(answer)));
  fields.delete("earlier");
  fields.set("score", score);
  fields.set("comment", text);
  let now;
  try {
    const got = await fetch("/read", {method: "POST", body: fields, headers: {Accept: "application/json"}});
    now = await got.json();
  } catch {
    answer.classList.toggle("open", waited);
    said(answer, "This was not kept: the desk does not answer. Give it again.", true);
    return false;
  }
  if ("seen" in now) show(answer, now, text);
  else answer.classList.toggle("open", waited);
  if (now.error) said(answer, now.error, true);
  return !now.error;
}

function show(answer, now, text) {
  form(answer).elements.seen.value = now.seen;
  const box = comment(answer);
  const typing = now.error || (document.activeElement === box && box.value !== text);
  if (!typing) box.value = now.comment;
  box.dataset.kept = now.comment;
  for (const button of answer.querySelectorAll(".score")) {
    if (button.value === now.value) button.setAttribute("aria-pressed", "true");
    else button.removeAttribute("aria-pressed");
  }
  const marks = answer.closest("#answers").dataset.marks;
  said(answer, now.given ? `${now.given} of ${marks}` : now.comment ? "The comment is kept." : "");
  answer.querySelector(".back").hidden = !now.given;
  answer.classList.toggle("open", now.waits);
  left.textContent = now.waiting ? `${now.waiting} still to read` : "All of them are read.";
  const count = document.querySelector("a[aria-current] + [data-count]");
  if (count) count.textContent = now.waiting ? `${now.waiting} of ${count.dataset.count} to read` : `${count.dataset.count} read`;
  next.classList.toggle("quiet", now.waiting > 0);
  for (const one of answers) offer(one, now.comments);
}

function offer(answer, comments) {
  const select = answer.querySelector("select");
  select.replaceChildren(new Option("Given before …", ""), ...comments.map((one) => new Option(one)));
  select.hidden = comments.length === 0;
}

function goOn(answer) {
  const after = answers.slice(answers.indexOf(answer) + 1);
  const to = after.find((one) => one.classList.contains("open")) || after[0]
    || answers.find((one) => one !== answer && one.classList.contains("open")) || next;
  go(to);
}

function go(to) {
  if (!to) return;
  to.focus({preventScroll: true});
  to.scrollIntoView({block: to === next ? "nearest" : "center"});
}

function score(answer, key) {
  const wanted = ".,hH½".includes(key) ? 0.5 : Number(key);
  const button = [...answer.querySelectorAll(".score")].find((one) => Number(one.value) === wanted);
  if (!button) return false;
  give(answer, button.value);
  goOn(answer);
  return true;
}

function takeBack() {
  const last = done.pop();
  undo.hidden = done.length === 0;
  if (!last) return;
  give(last.answer, last.score, {comment: last.comment, remember: false});
  go(last.answer);
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
  const answer = event.target.closest?.(".answer");
  if (event.target.matches?.("textarea, select, input")) {
    if (event.key === "Escape" && answer) answer.focus();
    return;
  }
  let used = true;
  if (answer && /^[0-9.,hH½]$/.test(event.key)) used = score(answer, event.key);
  else if (answer && /^c$/i.test(event.key)) comment(answer).focus();
  else if (/^u$/i.test(event.key) && (answer || bar.contains(event.target)) && !undo.hidden) takeBack();
  else if (event.target === answer && event.key === "ArrowDown") go(answers[answers.indexOf(answer) + 1] || next);
  else if (event.target === answer && event.key === "ArrowUp") go(answers[answers.indexOf(answer) - 1]);
  else used = false;
  if (used) event.preventDefault();
});

document.addEventListener("submit", (event) => {
  const answer = event.target.closest(".answer");
  if (!answer) return;
  event.preventDefault();
  const value = event.submitter?.value ?? "keep";
  give(answer, value);
  if (event.submitter?.classList.contains("score")) goOn(answer);
});

document.addEventListener("change", (event) => {
  const answer = event.target.closest(".answer");
  if (!answer) return;
  if (event.target.matches("select") && event.target.value) comment(answer).value = event.target.value;
  if (comment(answer).value !== comment(answer).dataset.kept) give(answer, "keep");
});

undo?.addEventListener("click", takeBack);
window.addEventListener("beforeunload", (event) => { if (open) event.preventDefault(); });

if (answers.length && !location.hash) go(answers.find((one) => one.classList.contains("open")));
