// Puts the text of a frame file that is chosen into the box, to be looked at before it is sent.
"use strict";

document.getElementById("choose").hidden = false;
document.getElementById("file").addEventListener("change", async (event) => {
  const file = event.target.files[0];
  if (!file) return;
  document.getElementById("text").value = (await file.text()).slice(0, 30_000);
  document.getElementById("file-name").value = file.name;
});
