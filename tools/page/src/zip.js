// Several files as one, in the ZIP format without compression (PKWARE's APPNOTE 6.3, sections 4.3.7, 4.3.12 and 4.3.16).

const kTable = Uint32Array.from({ length: 256 }, (_, byte) => {
  let rest = byte;
  for (let bit = 0; bit < 8; ++bit) rest = rest & 1 ? (rest >>> 1) ^ 0xedb88320 : rest >>> 1;
  return rest;
});

export function crc32(bytes) {
  let crc = 0xffffffff;
  for (const byte of bytes) crc = kTable[(crc ^ byte) & 0xff] ^ (crc >>> 8);
  return (crc ^ 0xffffffff) >>> 0;
}

const low16 = (value) => [value & 0xff, (value >>> 8) & 0xff];
const low32 = (value) => [...low16(value), ...low16(value >>> 16)];

/** What both headers of a file share: version 2.0, names in UTF-8, stored; the day in DOS's form. */
function headerOf({ name, bytes, when }) {
  const time = (when.getHours() << 11) | (when.getMinutes() << 5) | (when.getSeconds() >> 1);
  const day = ((when.getFullYear() - 1980) << 9) | ((when.getMonth() + 1) << 5) | when.getDate();
  return [...low16(20), ...low16(0x0800), ...low16(0), ...low16(time), ...low16(day), ...low32(crc32(bytes)), ...low32(bytes.length), ...low32(bytes.length), ...low16(name.length), ...low16(0)];
}

/** @param files texts by their paths. @returns {Uint8Array} */
export function zipped(files, when = new Date()) {
  const encoder = new TextEncoder();
  const parts = [];
  const directory = [];
  let at = 0;
  const put = (list, bytes) => {
    list.push(Uint8Array.from(bytes));
    return bytes.length;
  };
  for (const [path, text] of Object.entries(files)) {
    const one = { name: encoder.encode(path), bytes: encoder.encode(text), when };
    const header = headerOf(one);
    put(directory, [...low32(0x02014b50), ...low16(20), ...header, ...low16(0), ...low16(0), ...low16(0), ...low32(0), ...low32(at), ...one.name]);
    at += put(parts, [...low32(0x04034b50), ...header, ...one.name]);
    at += one.bytes.length;
    parts.push(one.bytes);
  }
  const size = directory.reduce((sum, entry) => sum + entry.length, 0);
  put(directory, [...low32(0x06054b50), ...low16(0), ...low16(0), ...low16(directory.length), ...low16(directory.length), ...low32(size), ...low32(at), ...low16(0)]);
  const all = [...parts, ...directory];
  const whole = new Uint8Array(all.reduce((sum, part) => sum + part.length, 0));
  let place = 0;
  for (const part of all) {
    whole.set(part, place);
    place += part.length;
  }
  return whole;
}
