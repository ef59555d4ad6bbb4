// Compile a zip of Python files with the Python they will run on.
// node compile.mjs FOLDER_OF_THE_RUNTIME IN.zip OUT.zip
import { readFileSync, writeFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const [runtime, from, to] = process.argv.slice(2);
const { loadPyodide } = await import(pathToFileURL(`${runtime}/pyodide.mjs`).href);
const python = await loadPyodide({ indexURL: runtime });
python.FS.writeFile("/in.zip", new Uint8Array(readFileSync(from)));
python.runPython(`
import importlib.util, zipfile
from importlib._bootstrap_external import _code_to_hash_pyc
NEW = (2020, 1, 1, 0, 0, 0)
with zipfile.ZipFile("/in.zip") as old, zipfile.ZipFile("/out.zip", "w") as new:
    for name in old.namelist():
        data = old.read(name)
        if name.endswith(".py"):
            code = compile(data, name, "exec", dont_inherit=True, optimize=2)
            data = _code_to_hash_pyc(code, importlib.util.source_hash(data), False)
            name += "c"
        new.writestr(zipfile.ZipInfo(name, NEW), data, zipfile.ZIP_DEFLATED, 9)
`);
writeFileSync(to, python.FS.readFile("/out.zip"));
