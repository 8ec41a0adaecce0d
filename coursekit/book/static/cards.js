/* Practice cards and slider figures: small, without any library, nothing leaves the page. */
(function () {
  "use strict";

  var UNITS = {
    mm: ["mm", "millimetre", "millimetres", "millimeter", "millimeters"],
    deg: ["°", "deg", "degree", "degrees"],
    g: ["g", "gram", "grams"],
    N: ["n", "newton", "newtons"],
    MPa: ["mpa", "n/mm²", "n/mm2"]
  };

  /* Read "25,4 mm", "−3.2", "28°" → {value} or {fault: what to do about it}. */
  function read(text, unit) {
    var plain = text.replace(/\u2212/g, "-").replace(/\u00a0/g, " ").trim();
    var found = /^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*(.*)$/.exec(plain);
    if (!plain) { return { fault: "Write a number first." }; }
    if (!found) { return { fault: "Write one number, for example 12.5 or 12,5." }; }
    var rest = found[2].toLowerCase().replace(/\.$/, "").trim();
    var known = UNITS[unit] || [unit.toLowerCase()];
    if (/^[.,\d]/.test(rest)) {
      return { fault: "Write one decimal point or comma only, and no sign between thousands." };
    }
    if (rest && known.indexOf(rest) < 0) {
      return { fault: "The answer is wanted in " + shown(unit) + "; you wrote “" + rest + "”." };
    }
    return { value: parseFloat(found[1].replace(",", ".")) };
  }

  function shown(unit) { return unit === "deg" ? "degrees" : unit; }

  function near(value, wanted, tolerance) {
    return typeof wanted === "string"
      ? value === wanted
      : Math.abs(value - wanted) <= tolerance + 1e-9;
  }

  function Card(form) {
    var data = JSON.parse(form.querySelector("script[type='application/json']").textContent);
    var output = form.querySelector("output");
    var input = form.querySelector("input[type=text]");
    var show = form.querySelector("[data-do=show]");
    var places = form.querySelectorAll("[data-given]");
    var at = 0;
    var misses = 0;

    function say(kind, text) {
      output.className = "ck-" + kind;
      output.textContent = text;
    }

    function answered() {
      if (data.kind !== "choice") { return read(input.value, data.unit); }
      var picked = form.querySelector("input[type=radio]:checked");
      return picked ? { value: picked.value } : { fault: "Choose one first." };
    }

    function check() {
      var set = data.sets[at];
      var got = answered();
      if (got.fault) { return say("fault", got.fault); }
      if (near(got.value, set.answer, set.tolerance)) {
        show.hidden = true;
        return say("right", "Right. Take other numbers and do it once more.");
      }
      misses += 1;
      show.hidden = misses < 2;
      for (var i = 0; i < set.misses.length; i += 1) {
        if (near(got.value, set.misses[i][0], set.misses[i][1])) {
          return say("slip", "Not yet. " + data.hints[i]);
        }
      }
      return say("miss", "Not yet. Read the idea above once more, then work it out again.");
    }

    function others() {
      at = (at + 1) % data.sets.length;
      misses = 0;
      show.hidden = true;
      places.forEach(function (place, i) { place.textContent = data.sets[at].given[i]; });
      form.reset();
      say("fault", "New numbers: " + data.sets[at].given.join(", ") + ".");
      form.querySelector("input").focus();
    }

    function reveal() {
      var set = data.sets[at];
      if (data.kind === "choice") {
        var option = form.querySelector("input[value='" + set.answer + "']");
        return say("fault", "The answer is: " + option.parentNode.textContent.trim() + ".");
      }
      var near_enough = Math.round(set.answer * 100) / 100;
      return say("fault", "The answer is " + near_enough + (data.unit === "deg" ? "°" : " " + data.unit) +
        ". Find out where yours went another way, then take other numbers.");
    }

    form.addEventListener("submit", function (event) { event.preventDefault(); check(); });
    form.querySelector("[data-do=others]").addEventListener("click", others);
    show.addEventListener("click", reveal);
    form.querySelectorAll("[data-needs-script]").forEach(function (part) { part.hidden = false; });
  }

  function Slider(figure) {
    var range = figure.querySelector("input[type=range]");
    var output = figure.querySelector("output");
    var states = figure.querySelectorAll("g[data-state]");
    var texts = JSON.parse(figure.querySelector("script[type='application/json']").textContent);

    function step() {
      var at = Number(range.value);
      states.forEach(function (state, i) {
        if (i === at) { state.removeAttribute("display"); } else { state.setAttribute("display", "none"); }
      });
      output.textContent = texts[at];
      range.setAttribute("aria-valuetext", texts[at]);
    }

    range.addEventListener("input", step);
    range.parentNode.hidden = false;
    step();
  }

  /* A formula that is wider than a phone is scrolled; by keyboard too. */
  function reachable() {
    document.querySelectorAll("mjx-container[display=true]").forEach(function (box) {
      if (box.scrollWidth > box.clientWidth) { box.tabIndex = 0; }
    });
  }

  window.addEventListener("load", function () {
    if (window.MathJax && window.MathJax.startup) { window.MathJax.startup.promise.then(reachable); }
  });

  function start() {
    document.querySelectorAll("form.ck-card").forEach(Card);
    document.querySelectorAll("figure.ck-slider").forEach(Slider);
  }

  if (document.readyState === "loading") {
    document.addEventListener("DOMContentLoaded", start);
  } else {
    start();
  }
})();
