// Shows how far the jobs are, and goes to what came of the one that this page waits for.
"use strict";

const strip = document.getElementById("jobs");
const states = () => [...strip.querySelectorAll("[data-job]")].map((job) => `${job.dataset.job} ${job.dataset.state}`);
const atWork = () => states().some((state) => /waiting|at work/.test(state));

async function look() {
  let answer;
  try {
    answer = await fetch("/jobs", {headers: {Accept: "text/html"}});
  } catch {
    setTimeout(look, 3000); // the desk is being started again
    return;
  }
  const before = states().join();
  if (answer.ok) {
    const text = await answer.text();
    const focused = strip.contains(document.activeElement);
    strip.innerHTML = text;
    if (focused) (strip.querySelector("button, a") || document.getElementById("main")).focus();
  }
  const mine = new URLSearchParams(location.search).get("job");
  const job = mine && strip.querySelector(`[data-job="${CSS.escape(mine)}"]`);
  if (before !== states().join() && (!mine || (job && !/waiting|at work/.test(job.dataset.state)))) {
    document.dispatchEvent(new CustomEvent("job-ended"));
    if (mine && !document.body.dataset.stay) { location.reload(); return; }
  }
  if (atWork()) setTimeout(look, 700);
}

document.addEventListener("job-ordered", look);
if (atWork()) setTimeout(look, 700);
