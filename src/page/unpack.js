"use strict";
// What is packed in the page: the length, a space, and thirteen bits in each pair of 91 letters, compressed.
function unpacked(text) {
  const space = text.indexOf(" "), bytes = new Uint8Array(+text.slice(0, space)), value = new Uint8Array(128);
  for (let code = 33, n = 0; code < 127; code++) if (!"<&\\".includes(String.fromCharCode(code))) value[code] = n++;
  let held = 0, count = 0, at = 0;
  for (let i = space + 1; at < bytes.length; i += 2) {
    held |= (value[text.charCodeAt(i)] + 91 * value[text.charCodeAt(i + 1)]) << count;
    count += 13;
    while (count >= 8 && at < bytes.length) { bytes[at++] = held & 255; held >>= 8; count -= 8; }
  }
  return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip")));
}
