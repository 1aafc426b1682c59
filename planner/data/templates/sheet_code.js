"use strict";
// Scan codes by ISO/IEC 18004: alphanumeric mode, error correction level L, versions 1 to 25.
// The two tables are that standard's: check words in each block, and how many blocks, by version.
const CHECK_WORDS = [7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28, 28, 28, 30, 30, 26];
const BLOCKS = [1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8, 8, 9, 9, 10, 12];
const SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";

// Places of the small squares, by version.
function centers(version) {
  if (version === 1) return [];
  const count = Math.floor(version / 7) + 2, last = 4 * version + 10;
  const step = 2 * Math.ceil((last - 6) / (2 * (count - 1)));
  const rest = Array.from({ length: count - 1 }, (_, n) => last - n * step).reverse();
  return [6].concat(rest);
}

// An empty square of that version: null is room for data, true dark, false light.
function frame(version) {
  const size = 4 * version + 17;
  const grid = Array.from({ length: size }, () => new Array(size).fill(null));
  const square = (row, column, reach, dark) => {
    for (let r = -reach; r <= reach; r++) for (let c = -reach; c <= reach; c++) {
      if (grid[row + r] !== undefined && grid[row + r][column + c] !== undefined) {
        grid[row + r][column + c] = dark(Math.max(Math.abs(r), Math.abs(c)));
      }
    }
  };
  for (const [row, column] of [[3, 3], [3, size - 4], [size - 4, 3]]) square(row, column, 4, (d) => d !== 2 && d !== 4);
  const places = centers(version), last = places.length - 1;
  places.forEach((row, a) => places.forEach((column, b) => {
    if ((a === 0 && b === 0) || (a === 0 && b === last) || (a === last && b === 0)) return;
    square(row, column, 2, (d) => d !== 1);
  }));
  for (let n = 8; n < size - 8; n++) {
    if (grid[6][n] === null) grid[6][n] = n % 2 === 0;
    if (grid[n][6] === null) grid[n][6] = n % 2 === 0;
  }
  return grid;
}

// Where the 15 bits of the format and the 18 of the version stand, each twice.
function formatPlaces(size) {
  const found = [];
  for (let n = 0; n < 15; n++) {
    const up = n < 6 ? [n, 8] : n < 8 ? [n + 1, 8] : n === 8 ? [8, 7] : [8, 14 - n];
    found.push([up, n < 8 ? [8, size - 1 - n] : [size - 15 + n, 8]]);
  }
  return found;
}

function withCheck(value, bits, poly, grade) {
  let rest = value << grade;
  for (let n = bits - 1; n >= 0; n--) if ((rest >>> (n + grade)) & 1) rest ^= poly << n;
  return (value << grade) | rest;
}

function putMarks(grid, version, mask) {
  const size = grid.length, format = withCheck((1 << 3) | mask, 5, 0x537, 10) ^ 0x5412;
  formatPlaces(size).forEach((pair, n) => pair.forEach(([r, c]) => { grid[r][c] = ((format >>> n) & 1) === 1; }));
  grid[size - 8][8] = true;
  if (version < 7) return;
  const mark = withCheck(version, 6, 0x1F25, 12);
  for (let n = 0; n < 18; n++) {
    const dark = ((mark >>> n) & 1) === 1, a = Math.floor(n / 3), b = size - 11 + (n % 3);
    grid[a][b] = dark; grid[b][a] = dark;
  }
}

// Arithmetic on bytes by powers of two, modulo x^8 + x^4 + x^3 + x^2 + 1.
const POWER = [], LOG = [];
for (let n = 0, v = 1; n < 255; n++) { POWER[n] = v; LOG[v] = n; v = v < 128 ? v << 1 : (v << 1) ^ 0x11D; }
const times = (a, b) => (a && b ? POWER[(LOG[a] + LOG[b]) % 255] : 0);

function checkWords(words, count) {
  let maker = [1];
  for (let n = 0; n < count; n++) {
    const next = maker.concat(0);
    maker.forEach((v, k) => { next[k + 1] ^= times(v, POWER[n]); });
    maker = next;
  }
  const rest = words.concat(new Array(count).fill(0));
  words.forEach((_, n) => { const lead = rest[n]; maker.forEach((v, k) => { rest[n + k] ^= times(v, lead); }); });
  return rest.slice(words.length);
}

function roomFor(version) {
  const grid = frame(version);
  putMarks(grid, version, 0);
  let free = 0;
  for (const row of grid) for (const cell of row) if (cell === null) free += 1;
  return Math.floor(free / 8);
}

function wordsOf(text, version, room) {
  const bits = [];
  const put = (value, count) => { for (let n = count - 1; n >= 0; n--) bits.push((value >>> n) & 1); };
  put(2, 4);
  put(text.length, version < 10 ? 9 : 11);
  for (let n = 0; n < text.length; n += 2) {
    const first = SIGNS.indexOf(text[n]);
    if (n + 1 < text.length) put(45 * first + SIGNS.indexOf(text[n + 1]), 11); else put(first, 6);
  }
  if (bits.length > 8 * room) return null;
  put(0, Math.min(4, 8 * room - bits.length));
  while (bits.length % 8) bits.push(0);
  const words = [];
  for (let n = 0; n < bits.length; n += 8) words.push(parseInt(bits.slice(n, n + 8).join(""), 2));
  for (let n = 0; words.length < room; n++) words.push(n % 2 ? 0x11 : 0xEC);
  return words;
}

function woven(words, version) {
  const blocks = BLOCKS[version - 1], check = CHECK_WORDS[version - 1];
  const short = Math.floor(words.length / blocks), long = words.length % blocks;
  const rows = [];
  for (let n = 0, at = 0; n < blocks; n++) {
    const take = short + (n >= blocks - long ? 1 : 0);
    rows.push(words.slice(at, at + take));
    at += take;
  }
  const sums = rows.map((row) => checkWords(row, check)), out = [];
  for (let n = 0; n <= short; n++) for (const row of rows) if (n < row.length) out.push(row[n]);
  for (let n = 0; n < check; n++) for (const row of sums) out.push(row[n]);
  return out;
}

const MASKS = [
  (r, c) => (r + c) % 2, (r) => r % 2, (_, c) => c % 3, (r, c) => (r + c) % 3,
  (r, c) => (Math.floor(r / 2) + Math.floor(c / 3)) % 2, (r, c) => ((r * c) % 2) + ((r * c) % 3),
  (r, c) => (((r * c) % 2) + ((r * c) % 3)) % 2, (r, c) => (((r + c) % 2) + ((r * c) % 3)) % 2,
];

function filled(version, stream, mask) {
  const grid = frame(version), size = grid.length;
  putMarks(grid, version, mask);
  let n = 0;
  for (let right = size - 1, up = true; right > 0; right -= 2, up = !up) {
    if (right === 6) right = 5;
    for (let k = 0; k < size; k++) {
      const row = up ? size - 1 - k : k;
      for (const column of [right, right - 1]) {
        if (grid[row][column] !== null) continue;
        const bit = n < 8 * stream.length ? (stream[n >> 3] >>> (7 - (n & 7))) & 1 : 0;
        grid[row][column] = (bit === 1) !== (MASKS[mask](row, column) === 0);
        n += 1;
      }
    }
  }
  return grid;
}

// How hard a square is to read: the standard's four counts.
function trouble(grid) {
  const size = grid.length;
  let points = 0, dark = 0;
  const lines = grid.concat(grid.map((_, c) => grid.map((row) => row[c])));
  for (const line of lines) {
    const text = line.map(Number).join("");
    for (const run of text.match(/0{5,}|1{5,}/g) || []) points += run.length - 2;
    for (const like of ["10111010000", "00001011101"]) {
      for (let at = text.indexOf(like); at >= 0; at = text.indexOf(like, at + 1)) points += 40;
    }
  }
  for (let r = 0; r < size; r++) for (let c = 0; c < size; c++) {
    dark += grid[r][c] ? 1 : 0;
    if (r && c && grid[r][c] === grid[r - 1][c] && grid[r][c] === grid[r][c - 1] && grid[r][c] === grid[r - 1][c - 1]) points += 3;
  }
  return points + 10 * Math.floor(Math.abs((100 * dark) / (size * size) - 50) / 5);
}

// {version, mask, grid} of the smallest code that holds the text; null when none does.
function scanCode(text) {
  for (let version = 1; version <= BLOCKS.length; version++) {
    const room = roomFor(version) - BLOCKS[version - 1] * CHECK_WORDS[version - 1];
    const words = wordsOf(text, version, room);
    if (!words) continue;
    const stream = woven(words, version);
    const tries = MASKS.map((_, mask) => ({ version: version, mask: mask, grid: filled(version, stream, mask) }));
    const points = tries.map((t) => trouble(t.grid));
    return tries[points.indexOf(Math.min(...points))];
  }
  return null;
}

// The code as a picture with its quiet margin of four squares.
function codePicture(text) {
  const found = scanCode(text);
  if (!found) return null;
  const name = "http://www.w3.org/2000/svg", size = found.grid.length + 8;
  const svg = document.createElementNS(name, "svg");
  svg.setAttribute("viewBox", "0 0 " + size + " " + size);
  svg.setAttribute("shape-rendering", "crispEdges");
  svg.setAttribute("role", "img");
  const ground = document.createElementNS(name, "path"), ink = document.createElementNS(name, "path");
  ground.setAttribute("fill", "#fff");
  ground.setAttribute("d", "M0 0h" + size + "v" + size + "H0z");
  let path = "";
  found.grid.forEach((row, r) => row.forEach((dark, c) => { if (dark) path += "M" + (c + 4) + " " + (r + 4) + "h1v1h-1z"; }));
  ink.setAttribute("fill", "#000");
  ink.setAttribute("d", path);
  svg.append(ground, ink);
  return svg;
}
