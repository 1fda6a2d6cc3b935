// One engine: a question in, an answer out. After a trap it begins anew from the same module.
let module = null, engine = null;
const read = new TextDecoder(), write = new TextEncoder();

function asked(question) {
  const bytes = write.encode(question), { input, run, output, length, memory } = engine.exports;
  const at = input(bytes.length);
  new Uint8Array(memory.buffer, at, bytes.length).set(bytes);
  run();
  return read.decode(new Uint8Array(memory.buffer, output(), length()));
}

onmessage = async (event) => {
  const { id, question, text, given } = event.data;
  try {
    if (text || given) {
      module = given || await WebAssembly.compile(await unpacked(text).arrayBuffer());
      engine = await WebAssembly.instantiate(module, {});
      postMessage({ id, module });
      return;
    }
    postMessage({ id, answer: asked(question) });
  } catch (error) {
    if (module) engine = await WebAssembly.instantiate(module, {});
    postMessage({ id, answer: JSON.stringify({ error: String(error), trap: true }) });
  }
};
