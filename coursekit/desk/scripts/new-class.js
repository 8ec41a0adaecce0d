// Reads a roster's file in the browser, whatever its encoding, and sends it to see how it reads.
"use strict";

const MOST = 40_000; // bytes that fit into one post
const form = document.getElementById("roster");
const box = document.getElementById("drop");

async function take(file) {
  const refused = document.getElementById("refused");
  const bytes = new Uint8Array(await file.arrayBuffer());
  refused.hidden = bytes.length <= MOST;
  if (bytes.length > MOST) {
    refused.textContent = `A roster that is dropped here must be smaller than ${MOST / 1000} kB; got ${Math.round(bytes.length / 1000)} kB. Leave out columns other than id, name and e-mail, or use the command class open.`;
    return;
  }
  document.getElementById("data").value = btoa(String.fromCharCode(...bytes));
  document.getElementById("name").value = file.name;
  form.submit();
}

if (form) {
  box.hidden = false;
  document.getElementById("file").addEventListener("change", (event) => {
    if (event.target.files[0]) take(event.target.files[0]);
  });
  document.addEventListener("dragover", (event) => event.preventDefault());
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    if (event.dataTransfer.files[0]) take(event.dataTransfer.files[0]);
  });
}
