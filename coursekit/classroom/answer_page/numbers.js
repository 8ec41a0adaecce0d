"use strict";

// Reads a box exactly as the marker will: the twin of coursekit/classroom/bank/written_number.py.
//
// Numbers.understand(text, unit) gives {value, says, odd}: the number in the unit asked, or null; a
// sentence for the student that says how the box was understood, or why it is no number; and
// whether the box wants a second look. It knows nothing of right and wrong.

const Numbers = (() => {
  const LONGEST = 40; // characters of a number with its unit
  const MOST_ZEROS = 400; // of an exponent
  const SPELLINGS = {
    "mm": ["mm", "millimetre", "millimetres", "millimeter", "millimeters"],
    "cm": ["cm", "centimetre", "centimetres", "centimeter", "centimeters"],
    "m": ["m", "metre", "metres", "meter", "meters"],
    "in": ["in", "inch", "inches", '"'],
    "deg": ["deg", "degree", "degrees", "°"],
    "rad": ["rad", "radian", "radians"],
    "N": ["n", "newton", "newtons"],
    "N·m": ["n·m", "nm", "n m", "n*m", "newton metre", "newton metres"],
    "MPa": ["mpa", "n/mm2", "n/mm²"],
    "mm²": ["mm²", "mm2", "mm^2"],
    "mm³": ["mm³", "mm3", "mm^3"],
    "mm⁴": ["mm⁴", "mm4", "mm^4"],
    "g": ["g", "gram", "grams"],
    "°C": ["°c", "c"],
    "%": ["%", "percent", "per cent"],
  };
  // units of one kind; the worth of each is the first number divided by the second
  const KINDS = [
    {mm: [1, 1], cm: [10, 1], m: [1000, 1], in: [254, 10]},
    {deg: [1, 1], rad: [180, Math.PI]},
  ];
  const KIND_WORDS = ["a length: write it in mm, cm, m or inches", "an angle: write it in degrees"];
  const SAME = [
    [/[−–—‐‑‒﹣－]/g, "-"], [/[’‘′ʹ]/g, "'"], [/[”“″ʺ]/g, '"'], [/[º˚]/g, "°"], [/[⁄∕]/g, "/"],
    [/¼/g, " 1/4"], [/½/g, " 1/2"], [/¾/g, " 3/4"], [/⅛/g, " 1/8"], [/⅜/g, " 3/8"],
    [/⅝/g, " 5/8"], [/⅞/g, " 7/8"], [/''/g, '"'],
  ];
  // what Python takes for white space, which is not quite what JavaScript does
  const WHITE = /[\t-\r\x1c-\x20\x85\xa0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000]+/g;

  const EDGES = new RegExp(`^${WHITE.source}|${WHITE.source}$`, "g");
  const trimmed = (text) => text.replace(EDGES, "");

  const WHOLE = "[1-9]\\d{0,2}(?: \\d{3})+|\\d+";
  const REST = " ?((?![\\d+.,-])[^]*)";
  const exactly = (pattern) => new RegExp(`^(?:${pattern})$`);
  const NUMBER = exactly(`([+-]?) ?((?:(?:${WHOLE})(?:[.,]\\d*)?|[.,]\\d+)(?:e[+-]?\\d+)?)${REST}`);
  const FRACTION = exactly(`([+-]?) ?(?:(${WHOLE})[ -])?(\\d+) ?/ ?(\\d+)${REST}`);
  const ARC = exactly(
    "([+-]?) ?(\\d+) ?(?:°|deg|degrees?) ?(\\d{1,2})(?:([.,]\\d+) ?(?:'|min|minutes?)" +
    '| ?(?:\'|min|minutes?)(?: ?(\\d{1,2}(?:[.,]\\d+)?) ?(?:"|s|sec|seconds?))?)');
  const TWO_WAYS = exactly("[+-]?\\d+(?:[.,']\\d+){2,}\\D*|[+-]?\\d+'\\d+\\D*");
  const ONE_COMMA = exactly("[+-]? ?[1-9]\\d{0,2},\\d{3}(?:\\D.*)?");

  class Unread extends Error {}

  // the digits of any script stand together, ten at a time from zero on
  function digit(sign) {
    let code = sign.codePointAt(0);
    const first = code;
    while (/^\p{Nd}$/u.test(String.fromCodePoint(code - 1))) code--;
    return String((first - code) % 10);
  }

  function plain(text) {
    for (const [signs, meant] of SAME) text = text.replace(signs, meant);
    text = text.replace(/(?![0-9])\p{Nd}/gu, digit).toLowerCase();
    return trimmed(text).replace(WHITE, " ");
  }

  function named(unit) {
    return unit === "deg" ? "degrees" : unit;
  }

  // the name of the unit that was written, and the two numbers that turn it into the unit asked
  function unitOf(written, asked) {
    const name = written.endsWith(".") ? written.slice(0, -1) : written;
    if (!name) return [asked, 1, 1];
    const kind = KINDS.find((one) => Object.keys(one).includes(asked)) || {[asked]: [1, 1]};
    const [up, down] = kind[asked];
    for (const unit of Object.keys(kind))
      if ((SPELLINGS[unit] || [unit.toLowerCase()]).includes(name))
        return [unit, kind[unit][0] * down, kind[unit][1] * up];
    throw new Unread(otherUnit(name, asked));
  }

  function otherUnit(name, asked) {
    const shown = `“${[...name.trim()].slice(0, 20).join("")}”`;
    if (asked === "deg" && /^° \d/.test(name))
      return "Write minutes with their sign, like 72° 30', or the angle as 72.5.";
    if (!/^[\p{L}\p{N}°"'%]/u.test(name)) return `After the number, ${shown} can't be read.`;
    if (!asked) return `A bare number is asked here, so leave ${shown} out.`;
    const kind = KINDS.findIndex((one) => Object.keys(one).includes(asked));
    if (kind >= 0) return `${shown} doesn't fit here. This is ${KIND_WORDS[kind]}.`;
    return `${shown} doesn't fit here. This is asked in ${named(asked)}.`;
  }

  const number = (digits) => Number(digits.replace(/ /g, "").replace(",", "."));

  // a unit that begins with a digit, like 64ths, is taken off first, or it would be read as a number
  function apart(typed, asked) {
    const ending = ` ${asked.toLowerCase()}`;
    const whole = typed.endsWith(".") ? typed.slice(0, -1) : typed;
    if (!/^[0-9]/.test(asked) || !whole.endsWith(ending)) return [typed, ""];
    return [whole.slice(0, -ending.length), ending.slice(1)];
  }

  function fraction([, sign, whole, top, bottom, behind], asked, own) {
    const written = behind || own;
    if (!number(bottom)) throw new Unread("A fraction can't have 0 below its line.");
    if (!written)
      throw new Unread(Object.keys(KINDS[0]).includes(asked)
        ? "A fraction must have its unit, like 7/8 in."
        : "Write it as a decimal number, like 31.5.");
    const [unit, up, down] = unitOf(written, asked);
    const parts = number(whole || "0") * number(bottom) + number(top);
    const size = (parts * up) / (number(bottom) * down);
    return {sign, size, unit, as: `${whole ? `${whole} ` : ""}${top}/${bottom}`, turned: true};
  }

  function arc([, sign, degrees, minutes, tenths, seconds]) {
    const [m, s] = [number(minutes + (tenths || "")), number(seconds || "0")];
    if (m >= 60 || s >= 60) throw new Unread("Minutes and seconds of an angle must stay below 60.");
    const as = `${degrees}° ${m}'${seconds ? ` ${s}"` : ""}`;
    return {sign, size: number(degrees) + m / 60 + s / 3600, unit: "", as, turned: true};
  }

  function amount([, sign, digits, written], asked) {
    if (Math.abs(Number(digits.split("e")[1] || 0)) > MOST_ZEROS)
      throw new Unread("This number is too large or too small to work with.");
    const [unit, up, down] = unitOf(written, asked);
    const own = number(digits);
    return {sign, size: unit === asked ? own : (own * up) / down, unit, as: String(own), turned: unit !== asked};
  }

  function read(text, asked) {
    const shown = `“${[...trimmed(text)].slice(0, 30).join("")}”`;
    if ([...trimmed(text)].length > LONGEST)
      throw new Unread(`A number can have ${LONGEST} characters at most.`);
    const [typed, own] = apart(plain(text), asked);
    if (TWO_WAYS.test(typed))
      throw new Unread(`${shown} can be read in two ways. Write one point or comma, for the decimals, ` +
        "and nothing between the thousands, like 1234.5.");
    const angle = asked === "deg" && ARC.exec(typed);
    if (angle) return arc(angle);
    const parts = FRACTION.exec(typed);
    if (parts) return fraction(parts, asked, own);
    const found = NUMBER.exec(typed);
    if (!found) throw new Unread(`${shown} is no number. Write it like 31.5.`);
    return {...amount(found, asked), comma: ONE_COMMA.test(typed)};
  }

  function withUnit(digits, unit) {
    const signs = {deg: "°", "%": " %", "": ""};
    return `${digits}${signs[unit] ?? ` ${unit}`}`;
  }

  function said({sign, size, unit, as, turned, comma}, asked) {
    const minus = sign === "-" && size ? "−" : "";
    if (turned)
      return `${minus}${withUnit(as, unit)}, that is ${minus}${withUnit(rounded(size), asked)}`;
    const plainly = `${minus}${withUnit(as, asked)}`;
    if (!comma) return plainly;
    const large = `${minus}${withUnit(String(Math.round(size * 1000)), asked)}`;
    return `${plainly}. The comma marks the decimals; if you mean ${large}, leave it out.`;
  }

  // six digits, of a number without what binary arithmetic leaves
  const rounded = (size) => String(Number(Number(size.toPrecision(12)).toPrecision(6)));

  // `bare`: turning it into `unit` is what is asked, so no other unit will do
  function understand(text, unit, bare = false) {
    if (!trimmed(text)) return {value: null, says: "", odd: false};
    try {
      const found = read(text, unit);
      if (bare && found.unit && found.unit !== unit)
        throw new Unread(`It is asked in ${named(unit)}. Turn it, and leave the unit out.`);
      if (!isFinite(found.size)) throw new Unread("This number is too large to work with.");
      const value = found.sign === "-" ? -found.size : found.size;
      return {value, says: said(found, unit), odd: Boolean(found.comma)};
    } catch (error) {
      if (!(error instanceof Unread)) throw error;
      return {value: null, says: error.message, odd: true};
    }
  }

  return {understand};
})();
