// The course's own Python, away from the page.  Over http this file is a module worker.  A page
// opened from a file may start none: there it loads this file as a script, which leaves the
// worker on its own element, and starts it from its text; what the worker would fetch then
// comes from the page, each file as a script that carries it as text.
"use strict";
typeof WorkerGlobalScope === "undefined" ? (document.currentScript.carried = work) : work();

function work() {
  const SCRIPT = "pyodide.mjs", MACHINE = "pyodide.asm.mjs", WASM = "pyodide.asm.wasm", LOCK = "pyodide-lock.json";
  const LIBRARY = "python_stdlib.zip", OURS = "packages.zip", SETTING = "setting.json", MEMORY = "started.bin";
  const NOWHERE = "https://nowhere.invalid/"; // from a file nothing has an address
  let where, python, whole = false, got = 0;

  // --- files: fetched, or carried by the page ---------------------------------------

  const parcels = new Map(); // by name: a promise of its text, and who keeps it
  const parcel = (name) => {
    const one = parcels.get(name) ?? {};
    one.text ??= new Promise((come) => { one.come = come; });
    parcels.set(name, one);
    return one;
  };
  const bytes = (text) => Uint8Array.fromBase64?.(text) ?? Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const opened = (stream) => stream.pipeThrough(new DecompressionStream("gzip"));
  const ask = self.fetch.bind(self);
  const fromPage = async (name) => {
    const { text } = parcel(name);
    if (!where.coming.delete(name)) self.postMessage({ wants: name });
    const packed = bytes(await text);
    parcels.delete(name);
    return new Response(opened(new Blob([packed]).stream()), {
      headers: { "Content-Type": name.endsWith(".wasm") ? "application/wasm" : "text/javascript" },
    });
  };
  // A copy of what arrives is counted, for the progress that the page shows; the original goes
  // on untouched, so that a browser may keep what it compiles of it for the next visit.
  const fromSite = async (name) => {
    const response = await ask(where.base + name);
    if (!response.ok) throw new Error(`${response.status} ${response.url}`);
    response.clone().body.pipeTo(new WritableStream({
      write(chunk) {
        const before = got;
        got += chunk.byteLength;
        if (got >> 18 !== before >> 18) self.postMessage({ got });
      },
    })).catch(() => {}); // told where the original is awaited
    return response;
  };
  const begun = {};
  const get = (name) => {
    begun[name] ??= (where.file ? fromPage : fromSite)(name);
    begun[name].catch(() => {}); // told where it is awaited
    return begun[name];
  };
  const take = (name) => { // once; it may be asked for again
    const one = get(name);
    delete begun[name];
    return one;
  };
  const module = async (name) => {
    if (!where.file) return import(where.base + name);
    const made = new Blob([await (await take(name)).arrayBuffer()], { type: "text/javascript" });
    return import(URL.createObjectURL(made));
  };

  // --- starting ------------------------------------------------------------------------

  // The runtime asks for its files by address, and is handed what was begun already.
  const load = async (scripts, ready, options) => {
    // It takes this for the mark of a worker that can't import; from a file there is no other.
    if (where.file) self.importScripts = undefined;
    self.fetch = (what) => {
      const name = new URL(what.url ?? what, NOWHERE).pathname.split("/").pop();
      return ready[name] ? Promise.resolve(ready[name]) : take(name);
    };
    // What can't be fetched is told here: the runtime would wait for it without end.
    const [{ loadPyodide }, { default: create }] = await scripts;
    await Promise.all([get(WASM), get(LOCK)]);
    return loadPyodide({ indexURL: where.file ? NOWHERE : where.base, ...options(create) });
  };

  // From the memory of a Python that had started when the site was built.  It is kept as what
  // it differs in from the memory that the runtime's own file lays out, which is laid out first.
  const fromMemory = async (scripts) => {
    let kept = take(MEMORY).then(async ({ body }) => {
      const all = new Uint8Array(await new Response(where.file ? body : opened(body)).arrayBuffer());
      return { sum: new Int32Array(all.buffer, 0, 1)[0], memory: all.subarray(8) };
    });
    kept.catch(() => {});
    const lay = async (instance) => {
      const { sum, memory } = await kept, { memory: own } = instance.exports;
      const head = new Uint32Array(memory.buffer, 8)[1];
      const pages = (memory.length - head - own.buffer.byteLength) / 65536;
      if (pages > 0) own.grow(pages);
      const words = new Int32Array(memory.buffer, 8), before = new Int32Array(own.buffer);
      let found = 0;
      for (let i = 0; i < head >> 2; i += 1) found = (found + words[i]) | 0;
      for (let i = 0, at = head >> 2; i < before.length; i += 1, at += 1) found = (found + (words[at] ^= before[i])) | 0;
      if (found !== sum) throw new Error("the memory that was kept is not of this runtime");
    };
    const started = await load(scripts, { [LIBRARY]: new Response() }, (create) => ({
      _loadSnapshot: kept.then(({ memory }) => memory),
      createPyodideModule: (settings) => new Promise((done, fail) => {
        const own = settings.instantiateWasm;
        settings.instantiateWasm = (imports, go) => own(imports, (instance, made) => {
          lay(instance).then(() => go(instance, made), fail);
        });
        create(settings).then(done, fail);
      }),
    }));
    const { memory: { buffer } } = await kept; // it is the runtime's now: let go of ours
    structuredClone(buffer, { transfer: [buffer] });
    kept = undefined;
    return started;
  };
  const fromTheStart = async (scripts) => {
    for (const name of [LIBRARY, OURS, SETTING]) get(name);
    const started = await load(scripts, {}, (create) => ({ createPyodideModule: create }));
    started.unpackArchive(await (await take(OURS)).arrayBuffer(), "zip", { extractDir: "/lib/course" });
    started.globals.set("setting", await (await take(SETTING)).text());
    started.runPython(`
      import json, sys
      sys.path.append("/lib/course")
      from course.live.answers import Answers
      answer = Answers(json.loads(setting)).call`);
    whole = true;
    return started;
  };
  const start = async () => {
    for (const name of [WASM, LOCK]) get(name);
    const scripts = Promise.all([module(SCRIPT), module(MACHINE)]);
    scripts.catch(() => {});
    if (where.quick) {
      try {
        return await fromMemory(scripts);
      } catch (error) {
        console.warn("live: from the start, since", error);
      }
    }
    return fromTheStart(scripts);
  };

  // The memory lacks what no call had needed when it was made: the files are all here now.
  const fetchRest = async () => {
    const [library, ours] = await Promise.all([LIBRARY, OURS].map(async (name) => (await take(name)).arrayBuffer()));
    python.FS.writeFile("/lib/python314.zip", new Uint8Array(library));
    python.unpackArchive(ours, "zip", { extractDir: "/lib/course" });
    python.runPython("import importlib; importlib.invalidate_caches()");
    whole = true;
  };

  // --- answering -------------------------------------------------------------------------

  let starting;
  self.onmessage = async ({ data }) => {
    if (data.carries) return parcel(data.carries).come(data.text);
    where ??= data.where;
    const { number, call } = data;
    try {
      python = await (starting ??= start());
    } catch (error) {
      return self.postMessage({ stopped: String(error) });
    }
    const answer = () => JSON.parse(python.globals.get("answer")(JSON.stringify(call)));
    try {
      let said;
      try {
        said = answer();
      } catch (error) {
        if (whole) throw error;
        await fetchRest();
        said = answer();
      }
      self.postMessage({ number, answer: said });
    } catch (error) {
      console.error("live:", error);
      self.postMessage({ number });
    }
  };
}
