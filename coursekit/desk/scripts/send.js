// Copies the reminders.
"use strict";

const copy = document.getElementById("copy");
const owed = document.getElementById("owed");

if (copy) {
  copy.hidden = false;
  copy.addEventListener("click", async () => {
    owed.select();
    try {
      await navigator.clipboard.writeText(owed.value);
    } catch {
      document.execCommand("copy"); // an older browser, or one that was told not to
    }
    document.getElementById("copied").textContent = "It is copied.";
  });
}
