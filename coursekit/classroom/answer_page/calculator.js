"use strict";

// The calculator beside the boxes. Calculator.work(expression) gives {value, says}: the number in
// full, or null; and the line for the working, like "90 − 61,5 = 28,5", or a sentence that says
// where the expression can't be read or worked out. Angles are in degrees.

const Calculator = (() => {
  const LONGEST = 200; // characters
  const DEEPEST = 40; // brackets, roots, powers and signs within each other
  const NAMES = {
    sqrt: "√", root: "√", sin: "sin", cos: "cos", tan: "tan", asin: "asin", acos: "acos", atan: "atan",
    arcsin: "asin", arccos: "acos", arctan: "atan", pi: "π", x: "×",
  };
  const SIGNS = {
    "+": "+", "＋": "+", "×": "×", "*": "×", "·": "×", "⋅": "×", "∗": "×", "÷": "÷", "/": "÷", "⁄": "÷", "∕": "÷",
    "^": "^", "(": "(", ")": ")", "√": "√", "π": "π", "°": "°", "º": "°", "˚": "°",
    ...Object.fromEntries([..."-−–—‐‑‒﹣－"].map((sign) => [sign, "−"])),
    "²": "²", "³": "³",
  };
  const SPACE = /\s/;
  const NUMBER = /^(?:[1-9]\d{0,2}(?:[ \u00a0\u2009\u202f]\d{3})+(?!\d)(?:[.,]\d*)?|\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3}(?![\d.,]))?/;

  class Trouble extends Error {}

  // where: the expression up to there, as the student sees it
  function upTo(text, at) {
    const before = text.slice(0, at).trim();
    if (!before) return "at the beginning";
    return `after “${before.length > 20 ? "…" : ""}${before.slice(-20)}”`;
  }

  function fail(what, text, at) {
    throw new Trouble(`${what} ${upTo(text, at)}.`);
  }

  function tokens(text) {
    const found = [];
    for (let at = 0; at < text.length;) {
      if (SPACE.test(text[at])) { at++; continue; }
      const rest = text.slice(at);
      const digits = NUMBER.exec(rest);
      const word = /^[A-Za-z]+/.exec(rest);
      if (digits) {
        found.push({kind: "number", value: numberOf(digits[0], rest, text, at), at, shown: digits[0]});
        at += digits[0].length;
      } else if (rest.startsWith("**")) {
        found.push({kind: "^", at, shown: "**"});
        at += 2;
      } else if (word) {
        const kind = Object.entries(NAMES).find(([name]) => name === word[0].toLowerCase());
        if (!kind) fail(`The calculator doesn't know “${word[0].slice(0, 20)}”, which stands`, text, at);
        found.push({kind: kind[1], at, shown: word[0]});
        at += word[0].length;
      } else {
        const sign = String.fromCodePoint(text.codePointAt(at));
        const kind = Object.entries(SIGNS).find(([name]) => name === sign);
        if (!kind) fail(`The calculator doesn't know “${sign}”, which stands`, text, at);
        found.push({kind: kind[1], at, shown: sign});
        at += sign.length;
      }
    }
    return [...found, {kind: "end", at: text.length, shown: ""}];
  }

  function numberOf(digits, rest, text, at) {
    if (/^[.,'’]\d/.test(rest.slice(digits.length)))
      fail("Write one point or comma, for the decimals, and nothing between the thousands, in the number", text, at);
    const value = Number(digits.replace(/\s/g, "").replace(",", "."));
    if (!isFinite(value)) fail("A number is too large", text, at);
    return value;
  }

  // sine and cosine of degrees, exact where they are 0, ½ or 1
  function sine(degrees) {
    const turned = Math.abs(degrees) % 360;
    const sign = (degrees < 0) !== (turned >= 180) ? -1 : 1;
    const half = turned % 180;
    const angle = half > 90 ? 180 - half : half;
    if (angle === 0) return 0;
    if (angle === 30) return sign / 2;
    return sign * (angle > 45 ? Math.cos((90 - angle) * Math.PI / 180) : Math.sin(angle * Math.PI / 180));
  }

  const cosine = (degrees) => sine(Math.abs(degrees) % 360 + 90);
  const inDegrees = (radians) => radians * 180 / Math.PI;

  class Reader {
    constructor(text) {
      this.text = text;
      this.all = tokens(text);
      this.next = 0;
      this.depth = 0;
    }

    get kind() { return this.all[this.next].kind; }

    take() { return this.all[this.next++]; }

    fail(what, token = this.all[this.next]) { fail(what, this.text, token.at); }

    whole() {
      if (this.kind === "end") throw new Trouble("");
      const value = this.sum();
      if (this.kind === ")") this.fail("There is one closing bracket too many");
      if (this.kind !== "end") this.missing();
      return value;
    }

    // something stands where a sign should
    missing() {
      const [before, here, after] = this.all.slice(this.next - 1, this.next + 2).map(({kind}) => kind);
      const mixed = before === "number" && here === "number" && after === "÷";
      const what = `A sign like + or × is missing ${upTo(this.text, this.all[this.next].at)}.`;
      throw new Trouble(mixed ? `${what} Write 39 7/8 as 39 + 7/8.` : what);
    }

    deeper(inside) {
      if (++this.depth > DEEPEST) throw new Trouble(`The calculator can't go deeper than ${DEEPEST} brackets or signs. Work it out in steps.`);
      const value = inside();
      this.depth--;
      return value;
    }

    sum() {
      let value = this.term();
      while (this.kind === "+" || this.kind === "−") {
        const sign = this.take();
        const other = this.term();
        value = this.sound(sign.kind === "+" ? value + other : value - other, sign);
      }
      return value;
    }

    term() {
      let value = this.factor(null);
      while (this.kind === "×" || this.kind === "÷") {
        const sign = this.take();
        const start = this.all[this.next];
        const other = this.factor(sign);
        if (sign.kind === "÷" && other === 0)
          this.fail("Nothing can be divided by 0, and 0 is what stands", start);
        value = this.sound(sign.kind === "×" ? value * other : value / other, sign);
      }
      return value;
    }

    // one factor, or a number with π or a bracket right behind it: 2π, 2(3 + 4)
    factor(before) {
      const start = this.next;
      const value = this.signed();
      if (this.kind !== "π" && this.kind !== "(") return value;
      const last = this.all[this.next - 1];
      if (last.kind !== "number") this.missing();
      const alone = this.all.slice(start, this.next - 1).every(({kind}) => kind === "−" || kind === "+");
      if (!alone || (before && before.kind === "÷"))
        this.fail("This can be read in two ways: write × or brackets");
      return this.sound(value * this.signed(), last);
    }

    signed() {
      if (this.kind !== "−" && this.kind !== "+") return this.power();
      const sign = this.take();
      const value = this.deeper(() => this.signed());
      return sign.kind === "−" ? -value : value;
    }

    power() {
      const base = this.postfixed();
      if (this.kind !== "^") return base;
      const sign = this.take();
      const start = this.all[this.next];
      return this.raised(base, this.deeper(() => this.signed()), start);
    }

    raised(base, exponent, sign) {
      if (base === 0 && exponent < 0) this.fail("0 can't have a power below 0 like the one", sign);
      if (base < 0 && !Number.isInteger(exponent))
        this.fail("A number below 0 can only have a whole number as its power, unlike the one", sign);
      return this.sound(base ** exponent, sign);
    }

    postfixed() {
      let value = this.primary();
      for (let squared = false; ["°", "²", "³"].includes(this.kind);) {
        const sign = this.take();
        if (sign.kind === "°") continue;
        if (squared) this.fail("Two powers stand one behind the other", sign);
        value = this.raised(value, sign.kind === "²" ? 2 : 3, sign);
        squared = true;
      }
      return value;
    }

    primary() {
      const token = this.take();
      if (token.kind === "number") return token.value;
      if (token.kind === "π") return Math.PI;
      if (token.kind === "(") return this.bracket(token);
      if (token.kind === "√") return this.root(token);
      if (token.kind in FUNCTIONS) return this.called(token);
      this.next--;
      if (token.kind === ")") return this.fail("A number is missing before the closing bracket,");
      return this.fail("A number is missing", token);
    }

    bracket(open) {
      const value = this.deeper(() => this.sum());
      if (this.kind === "end") this.fail("A bracket is not closed: the one", open);
      if (this.kind !== ")") this.missing();
      this.take();
      return value;
    }

    root(sign) {
      const value = this.deeper(() => this.kind === "√" ? this.root(this.take()) : this.rootOf());
      if (value < 0) this.fail("A number below 0 has no root. Its root stands", sign);
      return Math.sqrt(value);
    }

    rootOf() {
      if (["number", "π", "("].includes(this.kind)) return this.primary();
      return this.fail("Write brackets around what stands under the root,");
    }

    called(name) {
      if (this.kind !== "(") this.fail(`Write brackets around the angle or number, like ${name.kind}(30),`);
      const value = this.bracket(this.take());
      const result = FUNCTIONS[name.kind](value);
      if (result === null) this.fail(`${name.kind} has no value for ${shown(value)}. It stands`, name);
      return result;
    }

    sound(value, at) {
      if (!isFinite(value)) this.fail("The number becomes too large", at);
      return value;
    }
  }

  const FUNCTIONS = {
    sin: sine,
    cos: cosine,
    tan: (angle) => cosine(angle) === 0 ? null : sine(angle) / cosine(angle),
    asin: (ratio) => Math.abs(ratio) > 1 ? null : inDegrees(Math.asin(ratio)),
    acos: (ratio) => Math.abs(ratio) > 1 ? null : inDegrees(Math.acos(ratio)),
    atan: (ratio) => inDegrees(Math.atan(ratio)),
  };

  // six digits, but never fewer than the whole part has
  function shown(value) {
    const size = Math.abs(value);
    const digits = size >= 1e6 && size < 1e15 ? Math.ceil(Math.log10(size + 1)) : 6;
    const clean = Number(value.toPrecision(12)); // without what binary arithmetic leaves
    return String(Number(clean.toPrecision(digits))).replace("e+", "e").replace("-", "−").replace("e−", "e-");
  }

  function line(text, value) {
    const rounded = shown(value);
    const back = Number(rounded.replace("−", "-"));
    const exact = Math.abs(back - value) <= 1e-12 * Math.abs(value);
    const comma = /\d,|,\d/.test(text) && !text.includes(".");
    return `${text.trim().replace(/\s+/g, " ")} ${exact ? "=" : "≈"} ${comma ? rounded.replace(".", ",") : rounded}`;
  }

  function work(expression) {
    try {
      if (expression.length > LONGEST)
        throw new Trouble(`The calculator takes ${LONGEST} characters at most. Work it out in steps.`);
      const value = new Reader(expression).whole() + 0; // no minus before a zero
      return {value, says: line(expression, value)};
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      return {value: null, says: error.message};
    }
  }

  return {work};
})();
