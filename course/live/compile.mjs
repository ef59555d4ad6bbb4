// Compile a zip of Python files with the Python they will run on.
// node compile.mjs FOLDER_OF_THE_RUNTIME IN.zip OUT.zip plain|whole
//
// Left out is what only a developer reads: docstrings, the place of each step in its line,
// and, of `plain` files, what a function says of the types it takes.
import { readFileSync, writeFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const [runtime, from, to, form] = process.argv.slice(2);
const { loadPyodide } = await import(pathToFileURL(`${runtime}/pyodide.mjs`).href);
const python = await loadPyodide({ indexURL: runtime });
python.FS.writeFile("/in.zip", new Uint8Array(readFileSync(from)));
python.globals.set("form", form);
python.runPython(`
import ast, importlib.util, types, zipfile
from importlib._bootstrap_external import _code_to_hash_pyc
NEW = (2020, 1, 1, 0, 0, 0)

class Plain(ast.NodeTransformer):
    def visit_FunctionDef(self, node):
        self.generic_visit(node)
        node.returns = None
        return node

    visit_AsyncFunctionDef = visit_FunctionDef

    def visit_arg(self, node):
        node.annotation = None
        return node

def nowhere(steps):
    "A table of places that knows none, eight steps of code to a byte."
    last = steps % 8
    return b"\\xff" * (steps // 8) + (bytes([0xf8 + last - 1]) if last else b"")

def bare(code):
    inner = tuple(bare(c) if isinstance(c, types.CodeType) else c for c in code.co_consts)
    return code.replace(co_linetable=nowhere(len(code.co_code) // 2), co_consts=inner)

with zipfile.ZipFile("/in.zip") as old, zipfile.ZipFile("/out.zip", "w") as new:
    for name in old.namelist():
        data = old.read(name)
        if name.endswith(".py"):
            tree = ast.parse(data)
            if form == "plain":
                tree = Plain().visit(tree)
            code = compile(tree, name, "exec", dont_inherit=True, optimize=2)
            data = _code_to_hash_pyc(bare(code), importlib.util.source_hash(data), False)
            name += "c"
        new.writestr(zipfile.ZipInfo(name, NEW), data, zipfile.ZIP_DEFLATED, 9)
`);
writeFileSync(to, python.FS.readFile("/out.zip"));
