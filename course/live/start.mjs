// Start the course's Python once, at build time, and keep the memory that it then has.
// node start.mjs FOLDER_OF_THE_LIVE_PARTS UNPACKED_PACKAGES CALLS.json OUT.bin
//
// What is written, gzipped: a sum over all words and an empty word, then the memory as the
// runtime saves it, except that it is kept as what it differs in from the memory that the
// runtime's own file lays out.  A browser has that file, so it need not travel twice.
// Printed as JSON: how far the memory is in use, how large it is at first and now, in bytes,
// and what did not answer.
import { readFileSync, writeFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { gzipSync } from "node:zlib";

const [live, packages, calls, out] = process.argv.slice(2);
const file = (name) => pathToFileURL(`${live}/${name}`).href;
const { loadPyodide } = await import(file("pyodide.mjs"));
const { default: create } = await import(file("pyodide.asm.mjs"));

const python = await loadPyodide({ indexURL: `${live}/`, _makeSnapshot: true, env: { PYTHONHASHSEED: "0" } });
python.mountNodeFS("/lib/course", packages);
python.globals.set("setting", readFileSync(`${live}/setting.json`, "utf8"));
python.globals.set("calls", readFileSync(calls, "utf8"));
// Each call once, so that whatever is loaded late is loaded now.
const silent = python.runPython(`
import gc, json, sys
sys.path.append("/lib/course")
from course.live.answers import Answers
answer = Answers(json.loads(setting)).call
silent = []
for call in json.loads(calls):
    try:
        answer(json.dumps(call))
    except Exception as error:
        silent.append(f"{call[:2]}: {error}")
told = json.dumps(silent)
del call, calls, setting, silent
gc.collect()
told`);
const { HEAPU8, HEAPU32 } = python._module;
const used = HEAPU32[python._module._emscripten_get_sbrk_ptr() >> 2], size = HEAPU8.length;
const memory = python.makeMemorySnapshot();

let before; // what the runtime's file lays out; this also proves that the memory starts
const again = await loadPyodide({
  indexURL: `${live}/`, _loadSnapshot: memory,
  createPyodideModule: (settings) => {
    const own = settings.instantiateWasm;
    settings.instantiateWasm = (imports, go) => own(imports, (instance, made) => {
      const held = instance.exports.memory;
      before = new Uint32Array(held.buffer.slice(0));
      if (size > held.buffer.byteLength) held.grow((size - held.buffer.byteLength) / 65536);
      go(instance, made);
    });
    return create(settings);
  },
});
if (again.globals.get("answer")('["ready"]') !== "{}") throw new Error("the memory does not answer");

const words = new Uint32Array(memory.buffer), head = words[1] >> 2;
let sum = 0;
for (const word of words) sum = (sum + word) | 0;
before.forEach((word, at) => { words[head + at] ^= word; });
const packed = new Uint8Array(8 + memory.length);
new Int32Array(packed.buffer)[0] = sum;
packed.set(memory, 8);
writeFileSync(out, gzipSync(packed, { level: 9 }));
console.log(JSON.stringify({ used, first: before.byteLength, size, silent: JSON.parse(silent) }));
