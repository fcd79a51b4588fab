// Which branches of a room its tests take.
//   node tests/quality/coverage.mjs BUILD ROOM [--by ROOM,ROOM] [--jobs 2] [--list]
// BUILD is a tree configured with -DVOLTSILL_UNITY=OFF. Branches that only an exception takes are left out (gcov marks
// them: out of memory at any allocation), as are those of headers. --by names further test programs that count.
import { mkdirSync, readFileSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join, resolve } from "node:path";
import { parseArgs } from "node:util";
import { gunzipSync } from "node:zlib";
import { BuiltTree, run, sourcesOf } from "./relink.mjs";

const { values, positionals } = parseArgs({ allowPositionals: true, options: {
    by: { type: "string", default: "" }, jobs: { type: "string", default: "2" }, list: { type: "boolean", default: false } } });
const [build, room] = positionals;
if (!room) { console.error("node tests/quality/coverage.mjs BUILD ROOM [--by ROOM,ROOM] [--jobs N] [--list]"); process.exit(2); }
const tree = new BuiltTree(build), files = sourcesOf(room);
const scratch = join(tmpdir(), `coverage-${room}-${process.pid}`);
mkdirSync(scratch);

const objects = files.map((f) => join(scratch, basename(f, ".cpp") + ".o"));
const waiting = files.map((f, i) => [f, objects[i]]);
await Promise.all(Array.from({ length: Number(values.jobs) }, async () => {
    for (let next; (next = waiting.pop());)
        if (!(await tree.compile(next[0], next[0], next[1], ["-O0", "--coverage"]))) throw new Error(`${next[0]} does not compile`);
}));
for (const name of [room, ...values.by.split(",").filter(Boolean)]) {
    const program = join(scratch, `test-${name}`);
    await tree.link(name, objects, program, ["--coverage"]);
    const end = await run(program, ["--gtest_brief=1"], tree.build, 3600);
    console.log(`test-${name}: ${end.status === 0 ? "passes" : "FAILS\n" + end.text.slice(-2000)}`);
}

const rows = [];
for (const [i, file] of files.entries()) {
    const json = await run("gcov", ["--json-format", "--branch-probabilities", "--conditional", objects[i]].filter((w) => w !== "--conditional"), scratch, 60);
    const name = readdirSync(scratch).find((f) => f.endsWith(".gcov.json.gz"));
    if (!name) throw new Error(`gcov says nothing about ${file}: ${said.text}`);
    const report = JSON.parse(gunzipSync(readFileSync(join(scratch, name))));
    rmSync(join(scratch, name));
    const own = report.files.find((f) => resolve(f.file) === file);
    const row = { file, lines: 0, run: 0, branches: 0, taken: 0, open: [] };
    const met = new Map(); // a line stands once for every instance of a template or lambda
    for (const line of own?.lines ?? []) {
        const kept = met.get(line.line_number) ?? { count: 0, taken: [] };
        kept.count += line.count;
        line.branches.filter((b) => !b.throw).forEach((b, n) => { kept.taken[n] = (kept.taken[n] ?? 0) + b.count; });
        met.set(line.line_number, kept);
    }
    for (const [number, line] of met) {
        ++row.lines;
        row.run += line.count > 0 ? 1 : 0;
        row.branches += line.taken.length;
        row.taken += line.taken.filter((n) => n > 0).length;
        if (line.taken.some((n) => n === 0)) row.open.push(number);
    }
    rows.push(row);
}
rmSync(scratch, { recursive: true });
const share = (a, b) => b === 0 ? "-" : (100 * a / b).toFixed(1);
const total = (of) => rows.reduce((s, r) => s + r[of], 0);
for (const r of rows.sort((a, b) => a.taken / (a.branches || 1) - b.taken / (b.branches || 1))) {
    console.log(`${basename(r.file).padEnd(28)} lines ${share(r.run, r.lines).padStart(5)} %   branches ${share(r.taken, r.branches).padStart(5)} %`);
    if (values.list && r.open.length > 0) console.log(`    not taken in line ${r.open.join(", ")}`);
}
console.log(`\n${room}: lines ${share(total("run"), total("lines"))} %, branches ${share(total("taken"), total("branches"))} % of ${total("branches")}`);
