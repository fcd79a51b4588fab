// Changes one place of the code at a time and asks whether a test notices.
//   node tests/quality/mutants.mjs BUILD ROOM [--count 60] [--seed 1] [--jobs 2] [--also 'published,engine:*Said*']
// BUILD is a tree configured with -DVOLTSILL_UNITY=OFF whose tests pass. Prints the share that was noticed and each
// change that was not; those are either the same program in other words or a test that is missing. Told apart are
// those that differ at a single value of a physical quantity (< for <= between volts), where no bench can be.
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, relative } from "node:path";
import { parseArgs } from "node:util";
import { BuiltTree, codeOnly, root, run, sourcesOf } from "./relink.mjs";

// What a hand may get wrong. Operators stand between blanks in this code, so brackets of templates are no matches.
const OPERATORS = [
    [/ < (?!=)/g, " <= "],
    [/ <= /g, " < "],
    [/ > /g, " >= "],
    [/ >= /g, " > "],
    [/ == /g, " != "],
    [/ != /g, " == "],
    [/ && /g, " || "],
    [/ \|\| /g, " && "],
    [/ \+ /g, " - "],
    [/ - /g, " + "],
    [/ \* /g, " / "],
    [/ \/ /g, " * "],
    [/ \+= /g, " -= "],
    [/ -= /g, " += "],
    [/\bstd::min\b/g, "std::max"],
    [/\bstd::max\b/g, "std::min"],
    [/\btrue\b/g, "false"],
    [/\bfalse\b/g, "true"],
    [/\.lo\b/g, ".hi"],
    [/\.hi\b/g, ".lo"],
    [/(?<![\w.])0\.\d*[1-9]\d*\b/g, (m) => String(Number(m) * 1.5)],
    [/(?<![\w.])[2-9](?:\.\d+)?(?![\w.])/g, (m) => String(Number(m) + 1)],
    [/\bcontinue;/g, ";"],
    [/\bbreak;/g, ";"],
];

// `if (x)` -> `if (!(x))`, but not where x declares something.
function negatedConditions(file, text, code) {
    const places = [];
    for (const m of code.matchAll(/\bif \(/g)) {
        let till = m.index + m[0].length;
        for (let depth = 1; depth > 0 && till < code.length; ++till)
            depth += code[till] === "(" ? 1 : code[till] === ")" ? -1 : 0;
        const inside = text.slice(m.index + m[0].length, till - 1);
        if (!/;|^\s*(auto|const)\b/.test(inside))
            places.push({ file, text, from: m.index, till, by: `if (!(${inside}))` });
    }
    return places;
}

function placesOf(file) {
    const text = readFileSync(file, "utf8");
    const code = codeOnly(text);
    const places = negatedConditions(file, text, code);
    for (const [pattern, to] of OPERATORS)
        for (const m of code.matchAll(pattern))
            places.push({
                file,
                text,
                from: m.index,
                till: m.index + m[0].length,
                by: typeof to === "string" ? to : to(m[0]),
            });
    return places;
}

// "<" for "<=" and the like, in a line about physical quantities.
function onlyAtOneValue(mutant) {
    const was = mutant.text.slice(mutant.from, mutant.till).trim(),
        line = mutant.text.slice(
            mutant.text.lastIndexOf("\n", mutant.from) + 1,
            mutant.text.indexOf("\n", mutant.from),
        );
    return (
        was.replace("=", "") === mutant.by.trim().replace("=", "") &&
        /^[<>]=?$/.test(was) &&
        (/(volt|amp|ohm|farad|second|watt|margin|rate|edge|power|supply|range)s?\b/i.test(line) ||
            /\.si\(\)|\.(lo|hi)\b|\d\.\d|\de-?\d/i.test(line))
    );
}

function* shuffled(list, seed) {
    // xorshift, so that a seed names its sample
    let s = (seed * 2654435761) >>> 0 || 1;
    const rest = [...list];
    while (rest.length > 0) {
        s ^= s << 13;
        s >>>= 0;
        s ^= s >>> 17;
        s ^= s << 5;
        s >>>= 0;
        yield rest.splice(s % rest.length, 1)[0];
    }
}

function described(mutant) {
    const { text } = mutant;
    const line = text.slice(0, mutant.from).split("\n").length;
    const change = `${text.slice(mutant.from, mutant.till).trim()} -> ${mutant.by.trim()}`;
    return `${relative(root, mutant.file)}:${line}: ${change}    | ${text.split("\n")[line - 1].trim()}`;
}

// "engine:*Said*" is the tests of the engine that bear this name.
const room_of = (name) => name.split(":")[0];
const words_of = (name) => [
    "--gtest_brief=1",
    "--gtest_fail_fast",
    ...(name.includes(":") ? [`--gtest_filter=${name.slice(name.indexOf(":") + 1)}`] : []),
];

async function tried(mutant, tree, programs, limits, scratch, options) {
    const { text } = mutant;
    const source = `${scratch}.cpp`;
    const object = `${scratch}.o`;
    const program = `${scratch}.test`;
    writeFileSync(source, text.slice(0, mutant.from) + mutant.by + text.slice(mutant.till));
    if (!(await tree.compile(mutant.file, source, object, options))) return "no program";
    for (const name of programs) {
        await tree.link(room_of(name), [object], program);
        const end = await run(program, words_of(name), tree.build, limits.get(name));
        if (end.status !== 0) return `noticed by ${name}`;
    }
    return "not noticed";
}

const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: {
        count: { type: "string", default: "60" },
        seed: { type: "string", default: "1" },
        jobs: { type: "string", default: "2" },
        also: { type: "string", default: "" },
    },
});
const [build, room] = positionals;
if (!room) {
    console.error("node tests/quality/mutants.mjs BUILD ROOM [--count N] [--seed N] [--jobs N] [--also ROOM,ROOM]");
    process.exit(2);
}
const tree = new BuiltTree(build);
const files = sourcesOf(room);
const programs = [room, ...values.also.split(",").filter(Boolean)];
const limits = new Map();
for (const name of programs) {
    const start = Date.now();
    const plain = await run(join(tree.build, "tests", `test-${room_of(name)}`), words_of(name), tree.build, 1200);
    if (plain.status !== 0) throw new Error(`test-${name} fails as it stands:\n${plain.text.slice(-2000)}`);
    limits.set(name, 20 + (4 * (Date.now() - start)) / 1000);
}
const scratch = join(tmpdir(), `mutants-${room}-${process.pid}`);
mkdirSync(scratch);
// An index past an end is noticed, not read. One file is run once: optimising it costs more than it saves.
const options = await tree.precompiled(files, join(scratch, "headers.h"), ["-D_GLIBCXX_ASSERTIONS", "-O0"]);
const sample = shuffled(files.flatMap(placesOf), Number(values.seed));
const counts = new Map();
let done = 0;
let left = [];
let apart = [];
async function worker(n) {
    while (done < Number(values.count)) {
        const { value: mutant, done: none } = sample.next();
        if (none) return;
        const what = await tried(mutant, tree, programs, limits, join(scratch, `m${n}`), options);
        counts.set(what, (counts.get(what) ?? 0) + 1);
        if (what === "no program") continue;
        ++done;
        if (what === "not noticed") (onlyAtOneValue(mutant) ? apart : left).push(described(mutant));
        console.log(`${done}/${values.count} ${what}: ${described(mutant)}`);
    }
}
await Promise.all(Array.from({ length: Number(values.jobs) }, (_, n) => worker(n)));
rmSync(scratch, { recursive: true });
const noticed = done - left.length - apart.length;
const share = (of) => `${noticed} of ${of} noticed (${((100 * noticed) / of).toFixed(1)} %)`;
console.log(`\n${room}: ${share(done)}; without those that differ at one value only: ${share(done - apart.length)}`);
for (const [what, n] of counts) console.log(`  ${what}: ${n}`);
for (const line of left) console.log(`  not noticed: ${line}`);
for (const line of apart) console.log(`  differs at one value only: ${line}`);
