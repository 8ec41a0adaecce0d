// Shows another lesson as soon as it is chosen.
"use strict";

const choice = document.getElementById("choose");
choice?.addEventListener("change", () => choice.form.submit());
