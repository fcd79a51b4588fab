// Which branches of a room its tests take.
//   node tests/quality/coverage.mjs BUILD ROOM [--by ROOM,ROOM] [--jobs 2] [--list]
// BUILD is a tree configured with -DVOLTSILL_UNITY=OFF. --by names further test programs that count, --list the lines
// with a branch that is not taken (+ a branch that is, - one that is not).
// What counts is what somebody decided: the room is compiled with -O0 -fno-exceptions (no paths that only running out
// of memory takes; where a library insists on exceptions, what gcov marks as thrown is left out), and a branch counts
// where its line of the source holds a condition: if, for, while, switch, case, ?, && or ||. What the compiler adds
// elsewhere (guards of statics, arrays destroyed in a loop) and headers do not.
// Each function and each lambda has its own branches in a line, which all its instances take together.
import { mkdirSync, readFileSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join, resolve } from "node:path";
import { parseArgs } from "node:util";
import { gunzipSync } from "node:zlib";
import { BuiltTree, codeOnly, run, sourcesOf } from "./relink.mjs";

const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: {
        by: { type: "string", default: "" },
        jobs: { type: "string", default: "2" },
        list: { type: "boolean", default: false },
    },
});
const [build, room] = positionals;
if (!room) {
    console.error("node tests/quality/coverage.mjs BUILD ROOM [--by ROOM,ROOM] [--jobs N] [--list]");
    process.exit(2);
}
const tree = new BuiltTree(build);
const files = sourcesOf(room);
const scratch = join(tmpdir(), `coverage-${room}-${process.pid}`);
mkdirSync(scratch);

const objects = files.map((f) => join(scratch, basename(f, ".cpp") + ".o"));
const waiting = files.map((f, i) => [f, objects[i]]);
async function compiled(source, object) {
    for (const options of [["-fno-exceptions"], []])
        // a library's header may insist on them
        if (await tree.compile(source, source, object, ["-O0", "--coverage", ...options])) return;
    throw new Error(`${source} does not compile`);
}
await Promise.all(
    Array.from({ length: Number(values.jobs) }, async () => {
        for (let next; (next = waiting.pop());) await compiled(...next);
    }),
);
for (const name of [room, ...values.by.split(",").filter(Boolean)]) {
    const program = join(scratch, `test-${name}`);
    await tree.link(name, objects, program, ["--coverage"]);
    const end = await run(program, ["--gtest_brief=1"], tree.build, 3600);
    console.log(`test-${name}: ${end.status === 0 ? "passes" : "FAILS\n" + end.text.slice(-2000)}`);
}

// Which lines (from 1) hold a condition, or go on with one from the line before.
function conditionLines(file) {
    const lines = codeOnly(readFileSync(file, "utf8")).split("\n");
    const found = new Set();
    lines.forEach((line, i) => {
        const own = /\b(if|for|while|switch|case|default)\b|[^<]\?|(^| )(&&|\|\|)( |$)/.test(line);
        if (own || /(&&|\|\||\?| :)\s*$/.test(lines[i - 1] ?? "")) found.add(i + 1);
    });
    return found;
}

const rows = [];
let added = 0;
for (const [i, file] of files.entries()) {
    const said = await run("gcov", ["--json-format", "--branch-probabilities", objects[i]], scratch, 60);
    const name = readdirSync(scratch).find((f) => f.endsWith(".gcov.json.gz"));
    if (!name) throw new Error(`gcov says nothing about ${file}: ${said.text}`);
    const report = JSON.parse(gunzipSync(readFileSync(join(scratch, name))));
    rmSync(join(scratch, name));
    const own = report.files.find((f) => resolve(tree.build, f.file) === file);
    if (!own) throw new Error(`gcov does not know ${file}`);
    const starts = new Map(own.functions.map((f) => [f.name, `${f.start_line}:${f.start_column}`]));
    const met = new Map();
    const conditions = conditionLines(file);
    for (const line of own.lines) {
        const key = `${line.line_number} ${starts.get(line.function_name)}`;
        const kept = met.get(key) ?? { number: line.line_number, count: 0, taken: [] };
        kept.count += line.count;
        line.branches
            .filter((b) => !b.throw)
            .forEach((b, n) => {
                kept.taken[n] = (kept.taken[n] ?? 0) + b.count;
            });
        met.set(key, kept);
    }
    const row = { file, lines: 0, run: 0, branches: 0, taken: 0, open: [], never: [] };
    for (const line of met.values()) {
        ++row.lines;
        row.run += line.count > 0 ? 1 : 0;
        if (line.count === 0) row.never.push(line.number);
        if (!conditions.has(line.number)) {
            added += line.taken.length;
            continue;
        }
        row.branches += line.taken.length;
        row.taken += line.taken.filter((n) => n > 0).length;
        if (line.taken.some((n) => n === 0)) row.open.push(line);
    }
    rows.push(row);
}
rmSync(scratch, { recursive: true });
const share = (a, b) => (b === 0 ? "-" : ((100 * a) / b).toFixed(1));
const total = (of) => rows.reduce((s, r) => s + r[of], 0);
for (const r of rows.sort((a, b) => a.taken / (a.branches || 1) - b.taken / (b.branches || 1))) {
    const [lines, branches] = [share(r.run, r.lines), share(r.taken, r.branches)].map((s) => s.padStart(5));
    console.log(`${basename(r.file).padEnd(28)} lines ${lines} %   branches ${branches} %`);
    if (!values.list) continue;
    const text = readFileSync(r.file, "utf8").split("\n");
    for (const { number, taken } of r.open)
        console.log(`    ${number}: ${taken.map((n) => (n > 0 ? "+" : "-")).join("")}  ${text[number - 1].trim()}`);
    if (r.never.length > 0) console.log(`    never run: line ${r.never.join(", ")}`);
}
const lines = share(total("run"), total("lines"));
const branches = share(total("taken"), total("branches"));
console.log(`\n${room}: lines ${lines} %, branches ${branches} % of ${total("branches")}`);
console.log(`(${added} of the compiler's own left out)`);
