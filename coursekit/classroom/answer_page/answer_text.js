"use strict";

// The text in which a student's answers travel, as coursekit/classroom/bank/answer_text.py reads it.
//
// AnswerText.written({lesson, student, stamp, saved, copy, answers, working, readings}) gives the
// text. The last three map an id to its lines: an object, a Map, or a list of pairs, which keeps the
// order of ids that are whole numbers as well. No line may have a line break in it.

const AnswerText = (() => {
  const HEAD = ["lesson", "student", "stamp", "saved", "copy"];
  const PARTS = [["answers", ""], ["working", "working of "], ["readings", "reading of "]];
  // what Python takes for white space, which is not quite what JavaScript does
  const WHITE = /[\t-\r\x1c-\x20\x85\xa0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000]+/g;

  // CRC-32 (ISO 3309) of a byte's eight bits, for every byte
  const TABLE = Array.from({length: 256}, (_, byte) => {
    let rest = byte;
    for (let bit = 0; bit < 8; bit++) rest = rest & 1 ? (rest >>> 1) ^ 0xedb88320 : rest >>> 1;
    return rest >>> 0;
  });

  function crc32(bytes) {
    let rest = 0xffffffff;
    for (const byte of bytes) rest = TABLE[(rest ^ byte) & 0xff] ^ (rest >>> 8);
    return (rest ^ 0xffffffff) >>> 0;
  }

  function check(lines) {
    const bytes = new TextEncoder().encode(lines.join("").replace(WHITE, ""));
    return crc32(bytes).toString(16).padStart(8, "0");
  }

  function pairs(part) {
    return part && part[Symbol.iterator] ? [...part] : Object.entries(part || {});
  }

  // half of a character of two halves can't be saved; it is saved as the sign for that
  function whole(line) {
    return new TextDecoder("utf-8", {ignoreBOM: true}).decode(new TextEncoder().encode(line));
  }

  function shielded(line) {
    return line.startsWith("[") || line.startsWith(" ") ? ` ${line}` : line;
  }

  function written(one) {
    const lines = ["coursekit answers", ...HEAD.map((name) => `${name}: ${one[name] ?? ""}`)];
    for (const [part, start] of PARTS)
      for (const [id, body] of pairs(one[part])) lines.push(`[${start}${id}]`, ...body.map(shielded));
    const sound = lines.map(whole);
    return [...sound, `[end ${check(sound)}]`, ""].join("\n");
  }

  return {written};
})();
