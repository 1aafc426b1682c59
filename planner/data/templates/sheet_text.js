"use strict";
// The text of a return: bytes in base 32 with a check sum, and numbers as people type them.
const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";

function pack(bytes) {
  let out = "", held = 0, bits = 0;
  for (const b of bytes) {
    held = (held << 8) | b; bits += 8;
    while (bits >= 5) { bits -= 5; out += LETTERS[(held >>> bits) & 31]; held &= (1 << bits) - 1; }
  }
  return bits ? out + LETTERS[(held << (5 - bits)) & 31] : out;
}

function unpack(text) {
  const out = [];
  let held = 0, bits = 0;
  for (const c of text) {
    held = (held << 5) | LETTERS.indexOf(c); bits += 5;
    if (bits >= 8) { bits -= 8; out.push((held >>> bits) & 255); held &= (1 << bits) - 1; }
  }
  return new Uint8Array(out);
}

function sum(bytes) {
  let crc = 0xFFFFFFFF;
  for (const b of bytes) {
    crc ^= b;
    for (let n = 0; n < 8; n++) crc = (crc >>> 1) ^ (crc & 1 ? 0xEDB88320 : 0);
  }
  return ((crc ^ 0xFFFFFFFF) >>> 0).toString(16).toUpperCase().padStart(8, "0");
}

function sealed(data) {
  const bytes = new TextEncoder().encode(JSON.stringify(data));
  return "DAYSHEET-" + pack(bytes) + "-" + sum(bytes);
}

// Texts that scan codes carry: the whole in one, or numbered pieces that the office joins in any order.
const MOST_IN_CODE = 1150;
function pieces(text) {
  if (text.length <= MOST_IN_CODE) return [text];
  const [, body, check] = text.split("-");
  const count = Math.ceil(body.length / (MOST_IN_CODE - 30)), each = Math.ceil(body.length / count);
  const found = [];
  for (let n = 0; n < count; n++) {
    found.push("DAYPART-" + (n + 1) + "-" + count + "-" + check + "-" + body.slice(n * each, (n + 1) * each) + ".");
  }
  return found;
}

function figure(text) {
  const t = text.trim().replace(",", ".");
  const parts = t.match(/^(-?\d+)[ -](\d+)\/(\d+)$/) || t.match(/^(-?)(\d+)\/(\d+)$/);
  if (parts && Number(parts[3]) > 0) {
    const whole = Number(parts[1] === "-" || parts[1] === "" ? 0 : parts[1]);
    const part = Number(parts[2]) / Number(parts[3]);
    return whole < 0 || parts[1].startsWith("-") ? whole - part : whole + part;
  }
  return /^-?(\d+\.?\d*|\.\d+)$/.test(t) ? Number(t) : null;
}

// A length as a tape shows it: 8.375 is "8 3/8".
function taped(value) {
  const eighths = Math.round(Math.abs(value) * 8), whole = Math.floor(eighths / 8);
  let top = eighths % 8, under = 8;
  while (top && top % 2 === 0) { top /= 2; under /= 2; }
  const said = top ? (whole ? whole + " " : "") + top + "/" + under : String(whole);
  return (value < 0 && eighths ? "-" : "") + said;
}
