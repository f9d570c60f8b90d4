// Bytes as text that may stand in a script: five of 85 signs for four bytes, a quarter more where base64 is a third.

const kSigns = '0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ.-:+=^!/*?&<>()[]{}@%$#';

/** @returns how many bytes there are, a colon, and the signs */
export function textOf(bytes) {
  let text = `${bytes.length}:`;
  for (let at = 0; at < bytes.length; at += 4) {
    let four = 0;
    for (let i = 0; i < 4; ++i) four = four * 256 + (bytes[at + i] ?? 0);
    let five = '';
    for (let i = 0; i < 5; ++i) {
      five = kSigns[four % 85] + five;
      four = Math.floor(four / 85);
    }
    text += five;
  }
  return text;
}

/** The bytes of such a text. */
export function bytesIn(text) {
  const begins = text.indexOf(':') + 1;
  const values = new Uint8Array(128);
  for (let i = 0; i < 85; ++i) values[kSigns.charCodeAt(i)] = i;
  const bytes = new Uint8Array(((text.length - begins) / 5) * 4);
  for (let at = begins, to = 0; at < text.length; at += 5, to += 4) {
    let four = 0;
    for (let i = 0; i < 5; ++i) four = four * 85 + values[text.charCodeAt(at + i)];
    bytes[to] = four >>> 24;
    bytes[to + 1] = four >>> 16;
    bytes[to + 2] = four >>> 8;
    bytes[to + 3] = four;
  }
  return bytes.subarray(0, Number(text.slice(0, begins - 1)));
}
