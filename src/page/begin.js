"use strict";
// Unpacks the scripts and runs them, and says so where a browser cannot.
(async () => {
  const text = document.getElementById("scripts").textContent.trim(), space = text.indexOf(" ");
  const bytes = new Uint8Array(+text.slice(0, space)), value = new Uint8Array(128);
  for (let code = 33, n = 0; code < 127; code++) if (!"<&\\".includes(String.fromCharCode(code))) value[code] = n++;
  let held = 0, count = 0, at = 0;
  // The length, a space, and thirteen bits in each pair of 91 letters, as the worker reads the engine.
  for (let i = space + 1; at < bytes.length; i += 2) {
    held |= (value[text.charCodeAt(i)] + 91 * value[text.charCodeAt(i + 1)]) << count;
    count += 13;
    while (count >= 8 && at < bytes.length) { bytes[at++] = held & 255; held >>= 8; count -= 8; }
  }
  const source = document.createElement("script");
  source.text = await new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"))).text();
  document.head.append(source);
})().catch((error) => {
  document.getElementById("told").textContent = `This browser cannot run the page; what stands here is the report. (${error.message})`;
  document.body.dataset.ready = "failed";
});
