// The program and the engine, both as this build has them.
import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

export const ROOT = join(dirname(fileURLToPath(import.meta.url)), "../..");
export const PROGRAM = process.env.EBBWRIGHT || join(ROOT, "target/release/ebbwright");
export const SCENARIOS = readdirSync(join(ROOT, "scenarios")).filter((name) => name.endsWith(".toml")).sort();
export const scenario = (name) => readFileSync(join(ROOT, "scenarios", name), "utf8");
export const folder = () => mkdtempSync(join(tmpdir(), "ebbwright-page-"));

// Output of a command; a failed check is an answer too.
export function program(...args) {
  const done = spawnSync(PROGRAM, args, { encoding: "utf8", maxBuffer: 1 << 28 });
  if (![0, 1].includes(done.status)) throw new Error(`ebbwright ${args.join(" ")}: ${done.stderr || done.error}`);
  return done.stdout;
}

export async function engine() {
  const module = await WebAssembly.compile(readFileSync(join(ROOT, "src/page/engine.wasm")));
  if (WebAssembly.Module.imports(module).length) throw new Error("the engine wants something from outside");
  const { exports } = await WebAssembly.instantiate(module, {});
  return (question) => {
    const bytes = new TextEncoder().encode(JSON.stringify(question));
    const at = exports.input(bytes.length);
    new Uint8Array(exports.memory.buffer, at, bytes.length).set(bytes);
    exports.run();
    return JSON.parse(new TextDecoder().decode(new Uint8Array(exports.memory.buffer, exports.output(), exports.length())));
  };
}

export { execFileSync };
