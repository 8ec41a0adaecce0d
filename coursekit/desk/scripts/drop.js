// Sends what is dropped, chosen or pasted, one file after the other, and then has it taken in.
"use strict";

const form = document.getElementById("drop");
const sending = document.getElementById("sending");
const [largestFile, largestDrop, mostFiles] = ["file", "drop", "files"].map((name) => Number(form.dataset[name]));
const tickets = Object.fromEntries(new FormData(document.getElementById("ticket")));
const wait = (seconds) => new Promise((done) => setTimeout(done, seconds * 1000));

let id = "", queue = [], count = 0, bytes = 0, sent = 0, at = null, stopped = false;

function newId() {
  return Array.from(crypto.getRandomValues(new Uint8Array(8)), (b) => b.toString(16).padStart(2, "0")).join("");
}

function say(words) { sending.querySelector("[role=status]").textContent = words; }

function refuse(name, why) {
  const line = document.createElement("li");
  line.className = "error";
  line.textContent = `${name}: ${why}`;
  sending.querySelector("ul").append(line);
}

// what is given: [name with its folders, file], or a text that was pasted
function add(some) {
  if (!some.length) return;
  sending.hidden = false;
  document.body.dataset.stay = "sending"; // no reload in the middle
  for (const [name, file] of some) {
    if (file.size > largestFile) refuse(name, "It is too large, so it was not sent.");
    else if (count >= mostFiles || bytes + file.size > largestDrop) refuse(name, "It is too much for one drop, so it was not sent. Drop it by itself.");
    else { queue.push([count += 1, name, file]); bytes += file.size; }
  }
  if (!at) send();
}

async function send() {
  id ||= newId();
  const bar = sending.querySelector("progress");
  while (queue.length && !stopped) {
    const [number, name, file] = queue.shift();
    say(`${number} of ${count}: ${name}`);
    [bar.max, bar.value] = [count, number - 1];
    at = new AbortController();
    try {
      const why = await one(number, name, file);
      if (why) refuse(name, why); else sent += 1;
    } catch {
      if (!stopped) refuse(name, "It did not arrive. See whether the desk still runs, then drop it again.");
    }
  }
  at = null;
  if (!sent) { say(stopped ? "Stopped. Nothing was sent." : "Nothing was sent."); delete document.body.dataset.stay; return; }
  if (stopped) { location.assign("/drop"); return; }
  if (sending.querySelector("ul li")) { say(`${sent} of ${count} sent.`); await wait(4); }
  const take = document.getElementById("take-in");
  take.elements.drop.value = id;
  take.submit();
}

async function one(number, name, file) {
  const said = {...tickets, drop: id, number, size: file.size};
  if (file.pasted) said.pasted = 1;
  else { said.name = name.slice(-700); if (file.lastModified) said.changed = file.lastModified; }
  for (let tries = 0; ; tries += 1) {
    const answer = await fetch(`/drop/file?${new URLSearchParams(said)}`, {
      method: "POST", body: file, signal: at.signal, headers: {"Content-Type": "application/octet-stream"},
    });
    if (answer.ok) return "";
    if (answer.status === 429 && tries < 60) { await wait(1); continue; }
    if ((answer.headers.get("Content-Type") || "").startsWith("text/plain")) return answer.text();
    return answer.status === 403 ? "This page is too old. Load it again, then drop it again." : `It was refused (${answer.status}).`;
  }
}

// whole folders: a browser hands them out in pieces
async function inside(entry, above) {
  const name = above + entry.name;
  if (entry.isFile) {
    const file = await new Promise((done) => entry.file(done, () => done(null)));
    if (!file) refuse(name, "It can't be read.");
    return file ? [[name, file]] : [];
  }
  const found = [], reader = entry.createReader();
  for (;;) {
    const some = await new Promise((done) => reader.readEntries(done, () => done([])));
    if (!some.length) return found;
    for (const each of some) {
      if (found.length < mostFiles) found.push(...await inside(each, `${name}/`));
    }
  }
}

async function dropped(items, files) {
  const entries = items.map((item) => item.webkitGetAsEntry && item.webkitGetAsEntry());
  if (!entries.length || entries.some((entry) => !entry)) { add(files.map((file) => [file.name, file])); return; }
  sending.hidden = false;
  say("Looking into the folders");
  for (const entry of entries) add(await inside(entry, ""));
}

addEventListener("dragover", (event) => { event.preventDefault(); document.body.classList.add("dragging"); });
addEventListener("dragleave", (event) => { if (!event.relatedTarget) document.body.classList.remove("dragging"); });
addEventListener("drop", (event) => {
  event.preventDefault();
  document.body.classList.remove("dragging");
  const items = [...event.dataTransfer.items].filter((item) => item.kind === "file");
  const text = items.length ? "" : event.dataTransfer.getData("text/plain");
  if (text) pasted(text); else dropped(items, [...event.dataTransfer.files]);
});

function pasted(text) {
  if (!text.trim()) return;
  const file = new Blob([text]);
  file.pasted = true;
  add([["What was pasted", file]]);
}

for (const chooser of form.querySelectorAll("input[type=file]")) {
  chooser.addEventListener("change", () => {
    add([...chooser.files].map((file) => [file.webkitRelativePath || file.name, file]));
    chooser.value = "";
  });
}
form.elements.pasted.addEventListener("paste", (event) => {
  const files = [...event.clipboardData.files];
  if (files.length) { event.preventDefault(); add(files.map((file) => [file.name, file])); }
});
form.addEventListener("submit", (event) => {
  event.preventDefault();
  pasted(form.elements.pasted.value);
  form.elements.pasted.value = "";
});
sending.querySelector("button").addEventListener("click", () => { stopped = true; queue = []; if (at) at.abort(); });
